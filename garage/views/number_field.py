"""A number typed with gloves on: a decimal comma is taken for a point, and what is no number stays as it was typed."""

from __future__ import annotations

from decimal import Decimal

from django import forms


class NumberField(forms.DecimalField):
    """A text field with the phone's number keys: a field of type "number" would lose a mistyped entry."""

    default_error_messages = {"invalid": "Enter a number, as 12.5."}

    def __init__(self, **given: object) -> None:
        typed = forms.TextInput(attrs={"class": "short", "inputmode": "decimal", "autocomplete": "off"})
        super().__init__(**{"widget": typed, "max_digits": 12} | given)

    def to_python(self, value: object) -> Decimal | None:
        return super().to_python(value.replace(",", ".") if isinstance(value, str) else value)
