"""The form of the shop's list of parts."""

from __future__ import annotations

from decimal import Decimal

from django import forms

from garage.views.money_labels import in_units
from jobs.core.billing.invoice import MOST_OF_A_PART
from jobs.views.forms import PoundsField


class StockPartForm(forms.Form):
    words = forms.CharField(max_length=120, label="Part", help_text="As it stands on the card and the invoice.")
    count = forms.DecimalField(
        label="In stock",
        decimal_places=2,
        min_value=Decimal(0),
        max_value=MOST_OF_A_PART,
        initial=0,
        widget=forms.NumberInput({"class": "short"}),
    )
    price_each = PoundsField(label=in_units("Price each, {tax} included"))
    place = forms.CharField(max_length=60, required=False, label="Where it lies")
    supplier = forms.CharField(max_length=80, required=False, label="Supplier")
