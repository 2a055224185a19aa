"""A week in hours: when the garage is open, and when a person works, with a break."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django import forms

from garage.changes.people.people import DayHours
from garage.core.selling.kept_free import PLACE_SAID, KeptFree
from garage.core.time.clock import WEEKDAYS
from garage.core.time.open_days import Hours
from garage.core.time.roller_hours import RollerHours
from garage.models.people import WorkingHours
from garage.models.shop import OpeningHours
from garage.views.number_field import NumberField

OPENING = {
    "opens": "opens",
    "closes": "closes",
    "rollers_from": "rollers from",
    "rollers_until": "rollers until",
}
FIELDS = {"begins": "begins", "break_begins": "break begins", "break_ends": "break ends", "ends": "ends"}


def time_field(label: str) -> forms.TimeField:
    widget = forms.TimeInput(format="%H:%M", attrs={"type": "time", "class": "short", "aria-label": label})
    return forms.TimeField(label=label, required=False, widget=widget, input_formats=["%H:%M", "%H:%M:%S"])


class OpeningForm(forms.Form):
    """Of each weekday when the garage is open, closed without both times, and when its rollers run."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for number, weekday in enumerate(WEEKDAYS):
            for name, words in OPENING.items():
                self.fields[f"{name}_{number}"] = time_field(f"{weekday}: {words}")
            self.fields[f"no_rollers_{number}"] = forms.BooleanField(label=f"{weekday}: no rollers", required=False)

    def clean(self) -> dict[str, Any]:
        for number, weekday in enumerate(WEEKDAYS):
            if f"opens_{number}" in self.errors or f"closes_{number}" in self.errors:
                continue
            opens, closes = (self.cleaned_data.get(f"{name}_{number}") for name in ("opens", "closes"))
            if (opens is None) != (closes is None):
                self.add_error(f"closes_{number}", f"{weekday} needs both times, or neither if it is closed.")
            elif opens is None:
                self._check_no_rollers_while_closed(number, weekday)
        return self.cleaned_data

    def _check_no_rollers_while_closed(self, number: int, weekday: str) -> None:
        for name in ("rollers_from", "rollers_until"):
            if self.cleaned_data.get(f"{name}_{number}"):
                self.add_error(f"{name}_{number}", f"{weekday} is closed: give opening hours too, or leave this empty.")
                return

    def hours(self) -> dict[int, Hours | None]:
        return {number: self._hours_on(number) for number in range(7)}

    def _hours_on(self, number: int) -> Hours | None:
        opens, closes, begins, ends = (self.cleaned_data[f"{name}_{number}"] for name in OPENING)
        has_rollers = not self.cleaned_data[f"no_rollers_{number}"]
        return Hours(opens, closes, RollerHours(begins, ends, has_rollers)) if opens else None

    def rows(self) -> list[dict[str, Any]]:
        return [
            {
                "weekday": weekday,
                "fields": {words: self[f"{name}_{number}"] for name, words in OPENING.items()},
                "no_rollers": self[f"no_rollers_{number}"],
            }
            for number, weekday in enumerate(WEEKDAYS)
        ]

    @staticmethod
    def values_of(kept: Mapping[int, OpeningHours]) -> dict[str, object]:
        values: dict[str, object] = {}
        for number, row in kept.items():
            values |= {f"{name}_{number}": getattr(row, name) for name in OPENING}
            values[f"no_rollers_{number}"] = not row.has_rollers
        return values


class KeptFreeForm(forms.Form):
    """Of each weekday how many minutes are kept free at the bench and on the rollers. Empty keeps nothing."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for number, weekday in enumerate(WEEKDAYS):
            for at, words in PLACE_SAID.items():
                field = NumberField(label=f"{weekday}: {words}", required=False, decimal_places=0)
                field.widget.attrs["aria-label"] = f"{weekday}: {words}, minutes"
                field.error_messages["invalid"] = "Enter whole minutes, such as 60."
                self.fields[f"{at}_{number}"] = field

    def rules(self) -> dict[tuple[int, str], int]:
        return {(number, at): int(self.cleaned_data[f"{at}_{number}"] or 0) for number in range(7) for at in PLACE_SAID}

    def rows(self) -> list[dict[str, Any]]:
        return [
            {"weekday": weekday, "fields": {words: self[f"{at}_{number}"] for at, words in PLACE_SAID.items()}}
            for number, weekday in enumerate(WEEKDAYS)
        ]

    @staticmethod
    def values_of(kept: KeptFree) -> dict[str, object]:
        return {f"{at}_{number}": minutes for (number, at), minutes in kept.items()}


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
