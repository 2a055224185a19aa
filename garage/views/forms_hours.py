"""A person's week: from, to, and a break."""

from collections.abc import Mapping

from django import forms

from garage.changes.people import DayHours
from garage.core.time.clock import WEEKDAYS
from garage.models.people import WorkingHours
from garage.views.forms_shop import time_field

FIELDS = {"begins": "begins", "break_begins": "break begins", "break_ends": "break ends", "ends": "ends"}


class WorkingHoursForm(forms.Form):
    """Four fields a weekday; without from and to the day is not worked."""

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, prefix="hours", **kwargs)
        for number, weekday in enumerate(WEEKDAYS):
            for name, words in FIELDS.items():
                self.fields[f"{name}_{number}"] = time_field(f"{weekday}: {words}")

    def clean(self) -> dict:
        for number, weekday in enumerate(WEEKDAYS):
            day = {name: self.cleaned_data.get(f"{name}_{number}") for name in FIELDS}
            is_whole = day["begins"] and day["ends"]
            if any(day.values()) and not is_whole and f"ends_{number}" not in self.errors:
                self.add_error(f"ends_{number}", f"{weekday} needs a begin and an end, or nothing at all.")
        return self.cleaned_data

    def hours(self) -> dict[int, DayHours | None]:
        days = {number: {name: self.cleaned_data[f"{name}_{number}"] for name in FIELDS} for number in range(7)}
        return {number: DayHours(**day) if day["begins"] else None for number, day in days.items()}

    def rows(self) -> list[dict]:
        return [
            {"weekday": weekday, "fields": {words: self[f"{name}_{number}"] for name, words in FIELDS.items()}}
            for number, weekday in enumerate(WEEKDAYS)
        ]

    @staticmethod
    def values_of(kept: Mapping[int, WorkingHours]) -> dict[str, object]:
        return {f"{name}_{number}": getattr(row, name) for number, row in kept.items() for name in FIELDS}
