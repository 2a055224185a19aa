"""The form of an estimate that is drafted: one more line, what it is for, and until when it is valid."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django import forms

from garage.core.money import to_penny
from garage.models.shop import Shop
from garage.views.money_labels import in_units
from jobs.changes.estimates import new_key
from jobs.core.billing.estimate import KIND_WORDS, LABOUR, LONGEST_TEXT, PART, EstimateLine
from jobs.core.billing.hand_lines import MOST_WORDS
from jobs.core.billing.invoice import MOST_OF_A_PART
from jobs.models.estimates import Estimate
from jobs.models.parts import StockPart
from jobs.reads.parts import listed_parts
from jobs.views.forms import PartChoice, PoundsField
from jobs.views.forms_money import KeyedForm

LINE = ("kind", "stock", "words", "quantity", "price_each", "vat_percent", "exempt_why")


class EstimateForm(KeyedForm):
    """Every press keeps all that was typed. A line without words, part and price is none, unless it is asked for."""

    kind = forms.ChoiceField(choices=list(KIND_WORDS.items()), label="Kind")
    stock = PartChoice(listed_parts(), required=False, label="A part of the list", empty_label="not on the list")
    words = forms.CharField(
        max_length=MOST_WORDS,
        required=False,
        label="What it is",
        help_text="Empty: “Labour”, or the part as it is listed.",
    )
    quantity = forms.DecimalField(
        max_value=MOST_OF_A_PART,
        decimal_places=2,
        min_value=Decimal("0.01"),
        initial=1,
        label="How many, or hours",
        widget=forms.NumberInput({"class": "short"}),
    )
    price_each = PoundsField(
        label=in_units("Price each, {tax} included"),
        required=False,
        help_text="Empty: the shop’s price an hour, or the part’s. A minus in front is money off.",
    )
    vat_percent = forms.DecimalField(
        required=False,
        max_value=100,
        min_value=0,
        decimal_places=2,
        label=in_units("{tax} rate, per cent"),
        help_text="Empty: the shop’s. 0 is zero-rated.",
        widget=forms.NumberInput({"class": "short"}),
    )
    exempt_why = forms.CharField(
        required=False,
        max_length=100,
        label=in_units("Exempt from {tax} by"),
        help_text="Only of what is exempt: the rule.",
    )
    text = forms.CharField(
        required=False,
        max_length=LONGEST_TEXT,
        label="What is to be done, and why",
        help_text="The owner reads exactly this above the lines.",
        widget=forms.Textarea({"rows": 4}),
    )
    valid_until = forms.DateField(label="Valid until", widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d"))

    def __init__(self, data: Mapping[str, Any] | None = None, *, draft: Estimate, shop: Shop) -> None:
        super().__init__(data, initial={"text": draft.text, "valid_until": draft.valid_until})
        self.shop, self.is_a_line_meant = shop, bool(data and data.get("do") == "line")
        if not shop.vat_number:
            del self.fields["vat_percent"], self.fields["exempt_why"]

    def clean(self) -> dict[str, Any]:
        if self._is_a_line() and not self.errors:
            if not self._words():
                self.add_error("words", "A line needs a few words to say what it is.")
            if self._price() is None:
                self.add_error("price_each", "A line needs a price, 0 or more, or a minus for money off.")
        return super().clean()

    @property
    def line_fields(self) -> list[forms.BoundField]:
        return [self[name] for name in LINE if name in self.fields]

    @property
    def has_line_trouble(self) -> bool:
        return any(name in self.errors for name in LINE)

    @property
    def values(self) -> dict[str, Any]:
        typed = super().values
        line = self._line() if self._is_a_line() else None
        return {"text": typed["text"], "valid_until": typed["valid_until"], "line": line}

    def _is_a_line(self) -> bool:
        typed = self.cleaned_data
        is_typed = typed.get("words") or typed.get("stock") or typed.get("price_each") is not None
        return bool(self.is_a_line_meant or is_typed)

    def _line(self) -> EstimateLine:
        typed, stock = self.cleaned_data, self._stock()
        exempt_why = typed.get("exempt_why", "").strip()
        return EstimateLine(
            key=new_key(),
            kind=PART if stock else typed["kind"],
            words=self._words(),
            quantity=typed["quantity"],
            price_each=self._price() or Decimal(0),
            vat_percent=Decimal(0) if exempt_why else typed.get("vat_percent"),
            exempt_why=exempt_why,
            stock_id=stock.pk if stock else None,
        )

    def _stock(self) -> StockPart | None:
        found: StockPart | None = self.cleaned_data.get("stock")
        return found

    def _is_labour(self) -> bool:
        return self._stock() is None and self.cleaned_data.get("kind") == LABOUR

    def _words(self) -> str:
        listed = stock.words if (stock := self._stock()) else ""
        typed: str = self.cleaned_data.get("words", "").strip()
        return typed or listed or ("Labour" if self._is_labour() else "")

    def _price(self) -> Decimal | None:
        typed: Decimal | None = self.cleaned_data.get("price_each")
        if typed is not None:
            return typed
        if stock := self._stock():
            return stock.price_each
        return to_penny(self.shop.labour_per_hour) if self._is_labour() else None
