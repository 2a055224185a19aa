"""A week in hours: when the garage is open, and when a person works, with a break."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import time
from typing import Any

from django import forms

from garage.changes.people.people import DayHours
from garage.core.time.clock import WEEKDAYS
from garage.models.people import WorkingHours
from garage.models.shop import OpeningHours

FIELDS = {"begins": "begins", "break_begins": "break begins", "break_ends": "break ends", "ends": "ends"}


def time_field(label: str) -> forms.TimeField:
    widget = forms.TimeInput(format="%H:%M", attrs={"type": "time", "class": "short", "aria-label": label})
    return forms.TimeField(label=label, required=False, widget=widget, input_formats=["%H:%M", "%H:%M:%S"])


class OpeningForm(forms.Form):
    """Two fields per weekday. If both are empty the garage is closed."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for number, weekday in enumerate(WEEKDAYS):
            self.fields[f"opens_{number}"] = time_field(f"{weekday}: opens")
            self.fields[f"closes_{number}"] = time_field(f"{weekday}: closes")

    def clean(self) -> dict[str, Any]:
        for number, weekday in enumerate(WEEKDAYS):
            if f"opens_{number}" in self.errors or f"closes_{number}" in self.errors:
                continue
            opens, closes = (self.cleaned_data.get(f"{name}_{number}") for name in ("opens", "closes"))
            if (opens is None) != (closes is None):
                self.add_error(f"closes_{number}", f"{weekday} needs both times, or neither if it is closed.")
        return self.cleaned_data

    def hours(self) -> dict[int, tuple[time, time] | None]:
        pairs = {number: [self.cleaned_data[f"{name}_{number}"] for name in ("opens", "closes")] for number in range(7)}
        return {number: (pair[0], pair[1]) if all(pair) else None for number, pair in pairs.items()}

    def rows(self) -> list[dict[str, Any]]:
        return [
            {"weekday": weekday, "fields": {name: self[f"{name}_{number}"] for name in ("opens", "closes")}}
            for number, weekday in enumerate(WEEKDAYS)
        ]

    @staticmethod
    def values_of(kept: Mapping[int, OpeningHours]) -> dict[str, object]:
        return {f"{name}_{number}": getattr(row, name) for number, row in kept.items() for name in ("opens", "closes")}


class WorkingHoursForm(forms.Form):
    """Four fields per weekday. Without from and to the day is not worked."""

    prefix = "hours"

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for number, weekday in enumerate(WEEKDAYS):
            for name, words in FIELDS.items():
                self.fields[f"{name}_{number}"] = time_field(f"{weekday}: {words}")

    def clean(self) -> dict[str, Any]:
        for number, weekday in enumerate(WEEKDAYS):
            day = {name: self.cleaned_data.get(f"{name}_{number}") for name in FIELDS}
            is_whole = day["begins"] and day["ends"]
            if any(day.values()) and not is_whole and f"ends_{number}" not in self.errors:
                self.add_error(f"ends_{number}", f"{weekday} needs a start and an end, or neither.")
        return self.cleaned_data

    def hours(self) -> dict[int, DayHours | None]:
        days = {number: {name: self.cleaned_data[f"{name}_{number}"] for name in FIELDS} for number in range(7)}
        return {number: DayHours(**day) if day["begins"] else None for number, day in days.items()}

    def rows(self) -> list[dict[str, Any]]:
        return [
            {"weekday": weekday, "fields": {words: self[f"{name}_{number}"] for name, words in FIELDS.items()}}
            for number, weekday in enumerate(WEEKDAYS)
        ]

    @staticmethod
    def values_of(kept: Mapping[int, WorkingHours]) -> dict[str, object]:
        return {f"{name}_{number}": getattr(row, name) for number, row in kept.items() for name in FIELDS}
