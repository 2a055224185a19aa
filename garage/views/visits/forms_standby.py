"""What an owner says about coming sooner: the notice and the days that suit, and yes or no to an offer."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy

from garage.core.text.languages import told
from garage.core.time.clock import WEEKDAYS
from garage.models.standby import Standby

NOTICE = [
    (2, gettext_lazy("Two hours’ notice will do")),
    (24, gettext_lazy("A day before")),
    (48, gettext_lazy("Two days before")),
    (120, gettext_lazy("Five days before")),
]
SAY_DAYS = gettext_lazy("Tick at least one day that suits.")

SAY_YES_OR_NO = gettext_lazy("Say yes or no.")


def weekday_choices() -> list[tuple[int, str]]:
    """In the reader's language, each time they are shown."""
    return [(day, told(name)) for day, name in enumerate(WEEKDAYS)]


class StandbyForm(forms.Form):
    off = forms.CharField(required=False)
    notice_hours = forms.TypedChoiceField(
        label=gettext_lazy("How long before do you need to know?"),
        choices=NOTICE,
        coerce=int,
        required=False,
        widget=forms.RadioSelect,
    )
    weekdays = forms.TypedMultipleChoiceField(
        label=gettext_lazy("Which days suit?"),
        choices=weekday_choices,
        coerce=int,
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )

    @staticmethod
    def values_of(row: Standby | None) -> dict[str, Any]:
        """What was asked before, else a day's notice and any day of the working week."""
        if row is None:
            return {"notice_hours": 24, "weekdays": [*range(5)]}
        return {"notice_hours": row.notice_hours, "weekdays": [int(day) for day in row.weekdays]}

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if not cleaned.get("off") and not self.errors:
            if cleaned.get("notice_hours") in ("", None):
                self.add_error("notice_hours", gettext_lazy("Say how long before you need to know."))
            if not cleaned.get("weekdays"):
                self.add_error("weekdays", SAY_DAYS)
        return cleaned

    @property
    def is_off(self) -> bool:
        return bool(self.cleaned_data["off"])

    def asked(self) -> dict[str, Any]:
        return {"notice_hours": self.cleaned_data["notice_hours"], "weekdays": self.cleaned_data["weekdays"]}


class OfferForm(forms.Form):
    answer = forms.ChoiceField(
        choices=[("yes", "yes"), ("no", "no")],
        error_messages={"required": SAY_YES_OR_NO, "invalid_choice": SAY_YES_OR_NO},
    )

    @property
    def is_yes(self) -> bool:
        return bool(self.cleaned_data["answer"] == "yes")
