"""What is typed about packers. The changes decide what is allowed."""

from django import forms

from garage.views.money_labels import in_units
from garage.views.number_field import NumberField

COUNT = {"class": "short", "inputmode": "numeric"}


class PackerCountForm(forms.Form):
    count = forms.IntegerField(label="How many", widget=forms.TextInput(attrs=COUNT))
    price_each = NumberField(
        label=in_units("Price each, {units}"),
        required=False,
        decimal_places=2,
        help_text="VAT included; empty: not charged.",
    )


class PackerForm(PackerCountForm):
    thickness_mm = NumberField(label="Thickness, mm", decimal_places=2, help_text="As measured with a micrometer.")
    field_order = ["thickness_mm", "count", "price_each"]
