"""What is typed to book a time."""

from __future__ import annotations

from collections.abc import Mapping, MutableMapping
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from typing import Any, cast
from uuid import UUID

from django import forms
from django.http import QueryDict
from django.utils import timezone
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy

from garage.core.selling.draft import ToldOfSafety
from garage.core.text.languages import told
from garage.models.owners import Machine
from garage.pages.machine_kinds import kind_words
from garage.reads.free import FreeDay
from garage.reads.shop import machine_kinds
from garage.views.day_field import DayField
from garage.views.plain_words import leads_nowhere
from garage.views.visits.forms_standby import NOTICE, SAY_DAYS, weekday_choices

ANOTHER = "another"
PICK_A_MACHINE = gettext_lazy("Choose one from the list, or “another”.")
CHOOSE_A_TIME = gettext_lazy("Choose one of the times shown.")
FIRST_YEAR, LAST_YEAR = 1900, 2100


class InstantField(forms.Field):
    """An instant in ISO 8601 with its zone, as a page's buttons send it."""

    default_error_messages = {"required": CHOOSE_A_TIME, "invalid": CHOOSE_A_TIME}

    def to_python(self, value: object) -> datetime | None:
        if not value:
            return None
        try:
            found = datetime.fromisoformat(str(value))
        except ValueError as error:
            raise forms.ValidationError(self.error_messages["invalid"]) from error
        if found.tzinfo is None or not 2000 <= found.year < LAST_YEAR:
            raise forms.ValidationError(self.error_messages["invalid"])
        return found.astimezone(UTC)


class TimeForm(forms.Form):
    starts_at = InstantField()


class ConfirmForm(forms.Form):
    """Empty, or another time for one that was given up."""

    starts_at = InstantField(required=False)


class SinceForm(forms.Form):
    """The first day whose times are shown. Anything that is not a day is ignored."""

    since = DayField(required=False)


@dataclass(frozen=True)
class WhoComes:
    """Who comes with which machine, as typed. machine_kind: the key of one of the shop's, or ANOTHER.

    sooner_notice_hours: None if nothing earlier is asked for. sooner_days: that suit, 0 is Monday.
    """

    name: str
    email: str
    telephone: str
    machine_kind: str
    machine_words: str
    year: int | None
    wants: str
    sooner_notice_hours: int | None = None
    sooner_days: tuple[int, ...] = ()


@dataclass(frozen=True)
class DeskTime:
    """What the desk types for every booking. key: of the form. starts_at: an aware instant. told: what it asked for the
    engine's sake.
    """

    key: UUID
    starts_at: datetime
    wants: str
    told: ToldOfSafety


class MachineAndOwnerForm(forms.Form):
    """Who comes with which machine. Nobody is asked for an engine's measures."""

    name = forms.CharField(
        label=gettext_lazy("Your name"),
        max_length=80,
        validators=[leads_nowhere],
        error_messages={"required": gettext_lazy("Say who is coming.")},
        widget=forms.TextInput({"autocomplete": "name"}),
    )
    email = forms.EmailField(
        label=gettext_lazy("Email address"),
        help_text=gettext_lazy("The confirmation and the check sheet go there."),
        error_messages={
            "required": gettext_lazy("Say where to send the check sheet."),
            "invalid": gettext_lazy("Like robin@example.org."),
        },
        widget=forms.EmailInput({"autocomplete": "email"}),
    )
    telephone = forms.RegexField(
        r"^[0-9+() /.-]{5,30}$",
        label=gettext_lazy("Telephone"),
        help_text=gettext_lazy("In case we need to ask something."),
        error_messages={
            "required": gettext_lazy("Say where you can be reached."),
            "invalid": gettext_lazy("Digits, spaces and a plus sign, such as 07700 900123."),
        },
        widget=forms.TextInput({"autocomplete": "tel", "inputmode": "tel"}),
    )
    machine_kind = forms.ChoiceField(
        label=gettext_lazy("Machine"),
        error_messages={"required": PICK_A_MACHINE, "invalid_choice": PICK_A_MACHINE},
    )
    machine_words = forms.CharField(
        label=gettext_lazy("Make and model, if it isn’t listed"),
        required=False,
        max_length=80,
        validators=[leads_nowhere],
        help_text=gettext_lazy("As you would say it, such as Corrick 185."),
    )
    year = forms.IntegerField(
        label=gettext_lazy("Year"),
        required=False,
        error_messages={"invalid": gettext_lazy("A year in four digits, such as 1984.")},
        min_value=FIRST_YEAR,
        max_value=LAST_YEAR,
        widget=forms.TextInput({"inputmode": "numeric", "class": "short", "maxlength": 4}),
    )
    wants = forms.CharField(
        label=gettext_lazy("What’s wrong with it, or what do you want from it?"),
        required=False,
        max_length=2000,
        widget=forms.Textarea({"rows": 4}),
    )

    def __init__(
        self, data: Mapping[str, Any] | None = None, *, initial: MutableMapping[str, Any] | None = None
    ) -> None:
        super().__init__(data, initial=initial)
        self.kinds = {str(kind.pk): kind for kind in machine_kinds()}
        choices = [(key, kind_words(kind)) for key, kind in self.kinds.items()]
        machine_kind = cast("forms.ChoiceField", self.fields["machine_kind"])  # Django's type stubs see a plain Field
        machine_kind.choices = [("", told("Choose")), *choices, (ANOTHER, told("another"))]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        chosen = cleaned.get("machine_kind")
        if chosen == ANOTHER and not cleaned.get("machine_words"):
            self.add_error("machine_words", gettext_lazy("Give the make and model here, since it isn’t listed."))
        elif chosen and chosen != ANOTHER:
            cleaned["machine_words"] = str(self.kinds[chosen])
        return cleaned

    def who(self) -> WhoComes:
        typed = self.cleaned_data
        return WhoComes(
            name=typed["name"],
            email=typed["email"],
            telephone=typed["telephone"],
            machine_kind=typed["machine_kind"],
            machine_words=typed["machine_words"],
            year=typed["year"],
            wants=typed["wants"],
        )


class OwnerBookingForm(MachineAndOwnerForm):
    """What an owner types online, and whether sooner would suit."""

    sooner_notice_hours = forms.TypedChoiceField(
        label=gettext_lazy("Sooner, if something comes free?"),
        help_text=gettext_lazy("You keep this time. What comes free is offered to you by email: say yes, or leave it."),
        choices=[
            ("", gettext_lazy("No, this time suits me")),
            *((hours, format_lazy(gettext_lazy("Yes. {notice}"), notice=words)) for hours, words in NOTICE),
        ],
        coerce=int,
        empty_value=None,
        required=False,
    )
    sooner_days = forms.TypedMultipleChoiceField(
        label=gettext_lazy("If so, which days suit?"),
        choices=weekday_choices,
        coerce=int,
        initial=[*range(5)],
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if cleaned.get("sooner_notice_hours") is not None and not cleaned.get("sooner_days"):
            self.add_error("sooner_days", SAY_DAYS)
        return cleaned

    def who(self) -> WhoComes:
        typed = self.cleaned_data
        days = tuple(typed["sooner_days"])
        return replace(super().who(), sooner_notice_hours=typed["sooner_notice_hours"], sooner_days=days)


ASK_THEM = "Ask them: it decides whether it may be run before we look."


def _asked_of_safety(label: str, help_text: str = "") -> forms.ChoiceField:
    return forms.ChoiceField(
        label=label,
        help_text=help_text,
        choices=[("", "Choose"), ("no", "No"), ("yes", "Yes"), ("unsure", "They don’t know")],
        error_messages={"required": ASK_THEM, "invalid_choice": ASK_THEM},
    )


class DeskTimeForm(forms.Form):
    """What the front desk types for every booking. key: makes it idempotent, so that sending it twice books once."""

    key = forms.UUIDField(widget=forms.HiddenInput)
    starts_at = InstantField(label="Time", widget=forms.Select())
    nipped = _asked_of_safety("Has it seized or nipped up since it last ran right?")
    pinking = _asked_of_safety("Does it rattle or pink under load?")
    leaks = _asked_of_safety("Does it leak petrol?", "If so: tap off, not to be started, on an open trailer.")
    wants = forms.CharField(
        label="What’s wrong with it, in the owner’s words",
        required=False,
        max_length=2000,
        widget=forms.Textarea({"rows": 4}),
    )

    def __init__(self, data: QueryDict | None, *, chosen: FreeDay | None, initial: MutableMapping[str, Any]) -> None:
        super().__init__(data, initial=initial)
        self.fields["starts_at"].widget.choices = [("", "Choose"), *_times_of(chosen)]

    def time(self) -> DeskTime:
        typed = self.cleaned_data
        of_safety = ToldOfSafety(nipped=typed["nipped"], pinking=typed["pinking"], leaks=typed["leaks"])
        return DeskTime(key=typed["key"], starts_at=typed["starts_at"], wants=typed["wants"], told=of_safety)


class KnownMachineForm(DeskTimeForm):
    """For a machine that was here before."""

    def __init__(
        self,
        data: QueryDict | None,
        *,
        machine: Machine,
        chosen: FreeDay | None,
        initial: MutableMapping[str, Any],
    ) -> None:
        super().__init__(data, chosen=chosen, initial=initial)
        self.machine = machine


class DeskBookingForm(DeskTimeForm, MachineAndOwnerForm):
    """For a new owner, who may have no email address."""

    field_order = (
        *("key", "starts_at", "name", "telephone", "email", "machine_kind", "machine_words", "year"),
        *("nipped", "pinking", "leaks", "wants"),
    )

    def __init__(self, data: QueryDict | None, *, chosen: FreeDay | None, initial: MutableMapping[str, Any]) -> None:
        super().__init__(data, chosen=chosen, initial=initial)
        self.fields["name"].label = "Owner’s name"
        self.fields["telephone"].help_text = ""
        self.fields["email"].required = False
        self.fields["email"].help_text = "Without one we can’t send a confirmation: read the time out."


def _times_of(chosen: FreeDay | None) -> list[tuple[str, str]]:
    return [(at.isoformat(), _time_words(at, chosen)) for at in chosen.times] if chosen else []


def _time_words(at: datetime, chosen: FreeDay) -> str:
    return f"{timezone.localtime(at):%H:%M}{', uses time kept free' if at in chosen.into_kept else ''}"
