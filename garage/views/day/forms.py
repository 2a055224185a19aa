"""What the buttons of the day sheet send."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from typing import Any

from django import forms

from garage.changes.day.ring import LONGEST, SAY_WHAT_WAS_SAID
from garage.core.errors import Showable
from garage.core.planning.rest import MORE_MIN
from garage.core.time.local_time import LocalTime
from garage.models.people import Person
from garage.models.visits import Step
from garage.views.answers import ButtonForm, Unusable


class RungForm(forms.Form):
    """One of several on the ring list, so its ids carry the number of the visit."""

    what_was_said = forms.CharField(
        label="What was said",
        max_length=LONGEST,
        error_messages={"required": SAY_WHAT_WAS_SAID},
        widget=forms.Textarea({"rows": 2}),
    )

    def __init__(self, data: Mapping[str, object] | None = None, *, number: int) -> None:
        super().__init__(data, auto_id=f"ring-{number}-%s")


class BeginForm(ButtonForm):
    """at: the kind of place whose number is sent."""

    station = forms.IntegerField(min_value=1)

    def __init__(self, data: Mapping[str, object], *, at: str) -> None:
        super().__init__(data)
        self.at = at

    def trouble(self) -> Showable:
        return Unusable(f"Which {self.at}? Give its number, 1 or more.")


class RunsLateForm(ButtonForm):
    more_min = forms.IntegerField()

    def trouble(self) -> Showable:
        *some, last = MORE_MIN
        return Unusable(f"How much longer? Give {', '.join(map(str, some))} or {last} minutes.")


class PinForm(forms.Form):
    """One of several on the day sheet, so its ids carry the step's. Nothing filled in: the plan chooses.

    people: whom a step can be fixed to, read once for all forms of a page.
    """

    begins = forms.TimeField(
        label="Start, such as 14:30",
        required=False,
        input_formats=["%H:%M"],
        error_messages={"invalid": "Give a time such as 14:30, or leave it empty."},
        widget=forms.TimeInput(attrs={"type": "time", "class": "short"}, format="%H:%M"),
    )
    station = forms.IntegerField(
        required=False,
        min_value=1,
        widget=forms.TextInput(attrs={"class": "short", "inputmode": "numeric", "autocomplete": "off"}),
    )

    def __init__(
        self, data: Mapping[str, object] | None = None, *, step: Step, people: Sequence[Person], local: LocalTime
    ) -> None:
        begins = local.shown(step.pin_begins_at).time() if step.pin_begins_at else None
        standing = {"begins": begins, "station": step.pin_station, "person": step.pin_by_id}
        super().__init__(data, initial=standing, auto_id=f"by-hand-{step.pk}-%s")
        station = self.fields["station"]
        station.label = f"Which {step.at}"
        trouble = f"Give the number of a {step.at}, 1 or more, or leave it empty."
        station.error_messages |= {"invalid": trouble, "min_value": trouble}
        self.fields["person"] = forms.TypedChoiceField(
            label="Who",
            required=False,
            choices=[("", "as the plan says"), *((str(one.pk), one.name) for one in people)],
            coerce={str(one.pk): one for one in people}.__getitem__,
            empty_value=None,
            error_messages={"invalid_choice": "Pick one of the people, or leave it to the plan."},
        )

    def pin(self, day: date, local: LocalTime) -> dict[str, Any]:
        """What is fixed by hand, once the form is valid."""
        begins = self.cleaned_data["begins"]
        return {
            "station": self.cleaned_data["station"],
            "by_person": self.cleaned_data["person"],
            "begins_at": local.to_utc(datetime.combine(day, begins)) if begins else None,
        }
