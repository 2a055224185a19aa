"""A number typed with gloves on: a decimal comma is accepted, and text that is not a number stays as typed."""

from __future__ import annotations

from decimal import Decimal

from django import forms


class NumberField(forms.DecimalField):
    """A text field with the phone's number keys. A field of type "number" would lose a mistyped entry."""

    default_error_messages = {"invalid": "Enter a number, such as 12.5."}

    def __init__(
        self,
        *,
        label: str,
        required: bool = True,
        help_text: str = "",
        decimal_places: int | None = None,
        min_value: int | None = None,
        max_value: int | None = None,
    ) -> None:
        super().__init__(
            label=label,
            required=required,
            help_text=help_text,
            decimal_places=decimal_places,
            min_value=min_value,
            max_value=max_value,
            max_digits=12,
            widget=forms.TextInput(attrs={"class": "short", "inputmode": "decimal", "autocomplete": "off"}),
        )

    def to_python(self, value: object) -> Decimal | None:  # type: ignore[override]  # to django-stubs an IntegerField
        return super().to_python(value.replace(",", ".") if isinstance(value, str) else value)
