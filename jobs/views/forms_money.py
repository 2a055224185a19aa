"""Forms that move money: invoices, payments, deposits kept or given back. Each has a key, so that it counts once."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from decimal import Decimal
from typing import Any
from uuid import UUID, uuid4

from django import forms

from garage.core.money import pounds_words
from garage.models.visits import Visit
from garage.reads.owners import owners_unjoined
from garage.views.answers import CarriedOut, carried_out
from garage.views.money_labels import in_units
from garage.views.requests import WorkshopRequest
from jobs.changes.counter_sales import Sold
from jobs.changes.sent_forms import once
from jobs.core.billing.credit import Creditable
from jobs.core.billing.hand_lines import KIND_WORDS, MOST_WORDS
from jobs.core.billing.invoice import MOST_OF_A_PART
from jobs.views.forms import PoundsField

HOW_PAID = [("cash", "cash"), ("card", "card machine"), ("transfer", "bank transfer")]
OPEN_IT_AGAIN = "This form has lost its key, which keeps it from counting twice: open the page again."


class KeyField(forms.UUIDField):
    """Nobody types it: what is no key is missing, and the form says that in a sentence."""

    def to_python(self, value: Any) -> UUID | None:  # type: ignore[override]  # to django-stubs a CharField
        try:
            return super().to_python(value)
        except forms.ValidationError:
            return None


class KeyedForm(forms.Form):
    """One key for each time that it is drawn. Sent again, by a second press or a reload, it changes nothing more."""

    key = KeyField(required=False, widget=forms.HiddenInput({"id": False}))

    def __init__(self, data: Mapping[str, Any] | None = None, *, initial: Mapping[str, object] | None = None) -> None:
        super().__init__(data, initial={"key": uuid4(), **(initial or {})})

    def clean(self) -> dict[str, Any]:
        if not self.cleaned_data.get("key"):
            raise forms.ValidationError(OPEN_IT_AGAIN)
        return self.cleaned_data

    @property
    def values(self) -> dict[str, Any]:
        """What was typed. Only of a form that is valid."""
        return {name: value for name, value in self.cleaned_data.items() if name != "key"}


def carried_out_once(
    request: WorkshopRequest, form: KeyedForm, visit: Visit | None, change: Callable[..., object]
) -> CarriedOut[bool] | None:
    """change: is given what was typed, with by and now. None if it is refused, or the form was not sent."""

    def made() -> object:
        return change(by=request.user, now=request.now, **form.values)

    return carried_out(
        form, lambda: once(visit, key=form.cleaned_data["key"], change=made, by=request.user, now=request.now)
    )


class IssueForm(KeyedForm):
    """was_held is shown only for visits booked for the rollers."""

    was_held = forms.BooleanField(required=False, label="Charge the roller session")
    buyer_address = forms.CharField(
        required=False,
        max_length=300,
        label="Address",
        help_text="As it should appear on the invoice, one line each.",
        widget=forms.Textarea(attrs={"rows": 3, "autocomplete": "off"}),
    )


class SoldForm(forms.Form):
    """One line that a person puts on an invoice. own_rate: the shop's, as shown; empty if it is not registered."""

    kind = forms.ChoiceField(choices=list(KIND_WORDS.items()), label="Kind")
    words = forms.CharField(max_length=MOST_WORDS, label="What it is")
    quantity = forms.DecimalField(
        max_value=MOST_OF_A_PART, decimal_places=2, min_value=Decimal("0.01"), initial=1, label="How many"
    )
    price_each = PoundsField(
        label=in_units("Price each, {tax} included"), help_text="Put a minus in front for money off."
    )
    vat_percent = forms.DecimalField(
        required=False,
        max_value=100,
        min_value=0,
        decimal_places=2,
        label=in_units("{tax} rate, per cent"),
        help_text="Empty: the shop’s. 0 is zero-rated.",
    )
    exempt_why = forms.CharField(
        required=False, max_length=100, label="Exempt from VAT by", help_text="Only of what is exempt: the rule."
    )

    def __init__(self, *given: Any, is_registered: bool = True, **named: Any) -> None:
        super().__init__(*given, **named)
        for name in ("quantity", "vat_percent"):
            self.fields[name].widget.attrs["class"] = "short"
        if not is_registered:
            del self.fields["vat_percent"], self.fields["exempt_why"]


class HandLineForm(SoldForm, KeyedForm):
    """On an invoice to be."""

    @property
    def values(self) -> dict[str, Any]:
        return {"vat_percent": None, "exempt_why": "", **super().values}


NEEDS_WORDS = "A line needs a few words to say what it is."
NEEDS_PRICE = "A line needs a price, 0 or more, or a minus for money off."


class CounterForm(KeyedForm):
    """Some lines, to whom, and how it was paid. A line without words and price is none; the first is never one."""

    ROWS = 4  # what fits a page; a longer sale is two invoices
    LAST = ("who", "owner", "buyer_name", "buyer_address", "how")
    _numbers = range(1, ROWS + 1)
    who = forms.CharField(
        required=False,
        max_length=80,
        label="An owner you know",
        help_text="Name, telephone number, email address or machine. It then stands on the owner’s statement.",
    )
    owner = forms.ModelChoiceField(
        owners_unjoined(), required=False, error_messages={"invalid_choice": "Not an owner any more: find them again."}
    )
    buyer_name = forms.CharField(
        required=False, max_length=80, label="To", help_text="Empty: the owner, or else nobody is named."
    )
    buyer_address = forms.CharField(
        required=False, max_length=300, label="Address", widget=forms.Textarea(attrs={"rows": 2, "autocomplete": "off"})
    )
    how = forms.ChoiceField(choices=[*HOW_PAID, ("later", "not yet: it stands as owed")], label="How it was paid")

    def __init__(
        self,
        data: Mapping[str, Any] | None = None,
        *,
        is_registered: bool,
        initial: Mapping[str, object] | None = None,
    ) -> None:
        super().__init__(data, initial=initial)
        for row in self._numbers:
            self.fields |= self._row(row, is_registered=is_registered)
        self.order_fields([name for name in self.fields if name not in self.LAST])

    def _row(self, row: int, *, is_registered: bool) -> dict[str, forms.Field]:
        is_first = row == 1
        quantity = forms.DecimalField(
            required=False, max_value=MOST_OF_A_PART, decimal_places=2, min_value=Decimal("0.01"), initial=1
        )
        quantity.label = f"How many, line {row}"
        quantity.widget.attrs["class"] = "short"
        fields = {
            f"words_{row}": forms.CharField(
                required=is_first,
                max_length=MOST_WORDS,
                label=f"Line {row}",
                error_messages={"required": NEEDS_WORDS},
            ),
            f"quantity_{row}": quantity,
            f"price_{row}": PoundsField(label=f"Price each, line {row}", required=is_first),
        }
        fields[f"price_{row}"].error_messages["required"] = NEEDS_PRICE
        if is_registered:
            rate = forms.DecimalField(required=False, max_value=100, min_value=0, decimal_places=2)
            rate.label, rate.help_text = f"VAT rate, line {row}", "Empty: the shop’s."
            rate.widget.attrs["class"] = "short"
            fields[f"rate_{row}"] = rate
        return fields

    def clean(self) -> dict[str, Any]:
        for row in self._numbers:
            words, price = self.cleaned_data.get(f"words_{row}"), self.cleaned_data.get(f"price_{row}")
            if words and price is None and f"price_{row}" not in self.errors:
                self.add_error(f"price_{row}", NEEDS_PRICE)
            if price is not None and not words and f"words_{row}" not in self.errors:
                self.add_error(f"words_{row}", NEEDS_WORDS)
        if self.cleaned_data.get("who") and not self.cleaned_data.get("owner") and "owner" not in self.errors:
            self.add_error("who", "Find the owner and choose one of those listed, or leave this empty.")
        return super().clean()

    @property
    def lines(self) -> list[list[forms.BoundField]]:
        """The fields of each line."""
        names = ["words", "quantity", "price", "rate"]
        return [[self[f"{name}_{row}"] for name in names if f"{name}_{row}" in self.fields] for row in self._numbers]

    @property
    def has_more_lines(self) -> bool:
        """Whether there is anything on a line after the first, or wrong with it."""
        more = [field for line in self.lines[1:] for field in line]
        return any(field.errors or str(field.value() or "") not in {"", str(field.field.initial)} for field in more)

    @property
    def others(self) -> list[forms.BoundField]:
        """To whom, and how it was paid."""
        return [self[name] for name in self.LAST]

    @property
    def values(self) -> dict[str, Any]:
        typed = super().values
        lines = [self._sold(typed, row) for row in self._numbers if typed.get(f"words_{row}")]
        return {name: typed[name] for name in ("owner", "buyer_name", "buyer_address", "how")} | {"lines": lines}

    @staticmethod
    def _sold(typed: Mapping[str, Any], row: int) -> Sold:
        quantity = typed[f"quantity_{row}"] or Decimal(1)
        return Sold(typed[f"words_{row}"], quantity, typed[f"price_{row}"], typed.get(f"rate_{row}"))


class PaymentForm(KeyedForm):
    amount = PoundsField(label="Amount", help_text=in_units("In {units}. Put a minus in front for a refund."))
    how = forms.ChoiceField(choices=HOW_PAID, label="How it was paid")


class KeepForm(KeyedForm):
    why = forms.CharField(label="Why", max_length=200, help_text="The owner reads it, on the paper and in the mail.")


class CreditForm(KeyedForm):
    amount = PoundsField(label="Amount to give back", help_text=in_units("In {units}, without a minus."))
    how = forms.ChoiceField(choices=HOW_PAID, label="How it goes back")
    why = forms.CharField(label="Why", max_length=200, help_text="The owner reads it, on the paper and in the mail.")


class CreditLinesForm(KeyedForm):
    """One amount for each line of the invoice. Filled in with all that is left, so that one press credits all of it."""

    how = forms.ChoiceField(
        choices=[*HOW_PAID, ("later", "later: it stands as owed to the owner")],
        label="How what was paid goes back",
        help_text="Only what was paid already goes back. What is still to pay becomes less.",
    )
    why = forms.CharField(label="Why", max_length=200, help_text="The owner reads it, on the paper and in the mail.")

    def __init__(self, data: Mapping[str, Any] | None, *, lines: Sequence[Creditable]) -> None:
        open_lines = [line for line in lines if line.left]
        super().__init__(data, initial={f"line_{line.index}": line.left for line in open_lines})
        for line in open_lines:
            words = f"{line.words}: {pounds_words(line.left)} is left of it. Empty or 0: it stays."
            self.fields[f"line_{line.index}"] = PoundsField(label=f"Line {line.index}", help_text=words, required=False)
        self.order_fields([f"line_{line.index}" for line in open_lines])

    @property
    def values(self) -> dict[str, Any]:
        values = super().values
        names = [name for name in values if name.startswith("line_")]
        amounts = {int(name.removeprefix("line_")): values.pop(name) or Decimal(0) for name in names}
        return values | {"amounts": amounts}


class DepositForm(KeyedForm):
    amount = PoundsField(label="Deposit", help_text=in_units("In {units}. Put a minus in front for a refund."))
    how = forms.ChoiceField(choices=HOW_PAID, label="How it was paid")
