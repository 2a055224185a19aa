"""A day of the calendar, within the years that a garage can mean."""

from __future__ import annotations

from datetime import date, datetime

from django import forms

from garage.core.time.clock import EARLIEST_DAY, LATEST_DAY


class DayField(forms.DateField):
    """As a phone's own picker sends it. Further off, the calendar of the computer ends and sums of days fail."""

    default_error_messages = {"range": f"Give a day from {EARLIEST_DAY.year} to {LATEST_DAY.year}."}

    def __init__(self, *, label: str = "", required: bool = True) -> None:
        widget = forms.DateInput(format="%Y-%m-%d", attrs={"type": "date", "class": "short"})
        super().__init__(label=label, required=required, widget=widget, input_formats=["%Y-%m-%d"])

    def to_python(self, value: str | datetime | date | None) -> date | None:
        day = super().to_python(value)
        if day is not None and not EARLIEST_DAY <= day <= LATEST_DAY:
            raise forms.ValidationError(self.error_messages["range"], code="range")
        return day
