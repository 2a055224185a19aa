"""What the buttons of the day sheet send."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any, cast

from django import forms

from garage.changes.day.ring import LONGEST, SAY_WHAT_WAS_SAID
from garage.core.errors import Showable
from garage.core.time.local_time import LocalTime
from garage.models.people import Person
from garage.reads.people import workers
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


class PinForm(ButtonForm):
    station = forms.IntegerField(min_value=1, required=False)
    person = forms.ModelChoiceField(Person.objects.none(), required=False)
    begins = forms.TimeField(required=False, input_formats=["%H:%M"])
    allowed = {
        "station": "a number of the shop, 1 or more",
        "person": "one of the people",
        "begins": "a time such as 14:30",
    }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        person = cast("forms.ModelChoiceField[Person]", self.fields["person"])  # Django's type stubs see a plain Field
        person.queryset = workers()

    def pin(self, day: date, local: LocalTime) -> dict[str, Any]:
        """What is fixed by hand. Raises BadInput."""
        sent = self.sent()
        begins = sent["begins"]
        return {
            "station": sent["station"],
            "by_person": sent["person"],
            "begins_at": local.to_utc(datetime.combine(day, begins)) if begins else None,
        }
