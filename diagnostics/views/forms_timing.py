"""Forms for degrees, millimetres and heights, with the core's answers."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal, InvalidOperation
from typing import Any

from django import forms
from django.http import QueryDict

from diagnostics.core.timing.degrees import DegreeRow, Engine, degree_row, row_at_mm
from diagnostics.core.timing.packers import PackerStack
from diagnostics.pages.packers import worked_out
from garage.core.errors import BadInput
from garage.views.number_field import NumberField

HIGHEST_MM = 100


class DegreesForm(forms.Form):
    """One of the two is typed, and the other is the answer."""

    btdc_deg = NumberField(label="Degrees BTDC", required=False)
    btdc_mm = NumberField(label="or millimetres BTDC", required=False)

    def __init__(self, data: QueryDict | None = None, *, engine: Engine) -> None:
        super().__init__(data)
        self.engine = engine
        self.answer: DegreeRow | None = None
        if not engine.has_piston:
            del self.fields["btdc_mm"]

    def clean(self) -> dict[str, Any]:
        deg, mm = self.cleaned_data.get("btdc_deg"), self.cleaned_data.get("btdc_mm")
        if self.errors:
            return self.cleaned_data
        if (deg is None) == (mm is None):
            asked = "Type one of the two, not both: the other is the answer."
            self.add_error(None, asked if "btdc_mm" in self.fields else "Type the degrees.")
            return self.cleaned_data
        field, row_of = ("btdc_mm", row_at_mm) if deg is None else ("btdc_deg", degree_row)
        try:
            self.answer = row_of(self.engine, self.cleaned_data[field])
        except BadInput as error:
            self.add_error(field, said_of(self.fields[field], error))
        return self.cleaned_data


class HeightsForm(forms.Form):
    """Heights of the two middles above the same face."""

    pickup_mm = NumberField(
        label="Middle of the pickup, mm", decimal_places=2, min_value=-HIGHEST_MM, max_value=HIGHEST_MM
    )
    magnet_mm = NumberField(
        label="Middle of the magnets, mm", decimal_places=2, min_value=-HIGHEST_MM, max_value=HIGHEST_MM
    )
    stack: PackerStack | None = None

    def clean(self) -> dict[str, Any]:
        if not self.errors:
            try:
                self.stack = worked_out(**self.cleaned_data)
            except BadInput as error:
                self.add_error(None, error.sentence)
        return self.cleaned_data


def said_of(field: forms.Field, error: BadInput) -> str:
    """The core's sentence, with the field's label instead of its key."""
    label = str(field.label).removeprefix("or ")
    return BadInput(label[0].upper() + label[1:], error.found, error.allowed).sentence


def thicknesses(typed: Sequence[str]) -> list[Decimal]:
    """The packers of a stack, as sent by its button. Raises BadInput."""
    try:
        return [Decimal(one).quantize(Decimal("0.01")) for one in typed]
    except InvalidOperation as error:
        raise BadInput("The packers", ", ".join(typed), "thicknesses in mm, such as 0.8") from error
