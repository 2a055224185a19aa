"""What the boss types while setting up a new garage. These check types only: the changes decide what is allowed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from django import forms

from garage.changes.people.people import DayHours
from garage.changes.shop.setting_up import MOST_STATIONS
from garage.core.time.clock import WEEKDAYS
from garage.models.people import Person, WorkingHours
from garage.models.shop import OpeningHours, Shop, VisitKind
from garage.views.money_labels import in_units
from garage.views.number_field import NumberField
from garage.views.row_form import RowForm
from garage.views.shop.forms_hours import OpeningForm, time_field

WEEK = range(5)  # Monday to Friday, until the boss says otherwise
SUGGESTED = {"opens": "08:00", "closes": "17:30"}
DAYS = [(str(number), weekday) for number, weekday in enumerate(WEEKDAYS)]


class FirstLogInForm(RowForm[Person]):
    code = forms.CharField(
        label="Code",
        max_length=40,
        help_text="It stands in the terminal in which Tickover was started.",
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "characters", "spellcheck": "false"}),
    )
    first_name = forms.CharField(label="Your name", max_length=150)
    password = forms.CharField(
        label="Password",
        strip=False,
        help_text="Eight characters or more, not a common one, and not like the name.",
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )
    again = forms.CharField(
        label="The same again", strip=False, widget=forms.PasswordInput(attrs={"autocomplete": "new-password"})
    )

    class Meta:
        model = Person
        fields = ["code", "first_name", "username", "password", "again"]
        labels = {"username": "Log-in name"}
        help_texts = {"username": "Letters, digits and @.+-_ only."}
        widgets = {"username": forms.TextInput(attrs={"autocomplete": "username", "autocapitalize": "none"})}

    field_order = ["code", "first_name", "username", "password", "again"]

    def clean_again(self) -> str:
        again: str = self.cleaned_data["again"]
        if self.cleaned_data.get("password") not in (None, again):
            raise forms.ValidationError("The two are not the same: type them both again.")
        return again


class GarageForm(RowForm[Shop]):
    class Meta:
        model = Shop
        fields = ["name", "address", "telephone", "email"]
        labels = {"email": "Email address"}
        help_texts = {"telephone": "Owners ring it.", "email": "Mails to owners come from here."}
        widgets = {"address": forms.Textarea(attrs={"rows": 3, "autocomplete": "street-address"})}


class PlacesForm(OpeningForm):
    rollers = forms.IntegerField(label="Rollers", min_value=1, max_value=MOST_STATIONS, initial=1)
    benches = forms.IntegerField(
        label="Benches",
        min_value=1,
        max_value=MOST_STATIONS,
        initial=1,
        help_text="A machine is checked at a bench before it goes on the rollers.",
    )

    @staticmethod
    def suggested(kept: Mapping[int, OpeningHours], rollers: int, benches: int) -> dict[str, object]:
        """What is kept, or a usual week."""
        hours = OpeningForm.values_of(kept)
        if not hours:
            hours = {f"{name}_{number}": at for number in WEEK for name, at in SUGGESTED.items()}
        return hours | {"rollers": rollers or 1, "benches": benches or 1}


class WorkerForm(forms.Form):
    does_rollers = forms.BooleanField(label="You work on the rollers", required=False)
    does_bench = forms.BooleanField(label="You work at the bench", required=False)
    days = forms.MultipleChoiceField(label="Days", choices=DAYS, widget=forms.CheckboxSelectMultiple, required=False)
    begins, ends = time_field("From"), time_field("To")
    break_begins, break_ends = time_field("Break from"), time_field("Break to")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("begins", "ends"):
            self.fields[name].required = True

    def hours(self) -> dict[int, DayHours | None]:
        day = DayHours(*(self.cleaned_data[name] for name in ("begins", "ends", "break_begins", "break_ends")))
        return {number: day if str(number) in self.cleaned_data["days"] else None for number in range(len(DAYS))}

    @staticmethod
    def suggested(
        person: Person, kept: Mapping[int, WorkingHours], opening: Mapping[int, OpeningHours]
    ) -> dict[str, object]:
        """What is kept of this person, or the opening hours with a break."""
        skills = {"does_rollers": person.does_rollers or not kept, "does_bench": person.does_bench}
        first = next(iter(kept.values()), None)
        if first:
            times = {name: getattr(first, name) for name in ("begins", "ends", "break_begins", "break_ends")}
            return skills | times | {"days": _days(kept)}
        day = next(iter(opening.values()), None)
        times = {"begins": day.opens, "ends": day.closes} if day else {"begins": "08:00", "ends": "17:30"}
        return skills | times | {"break_begins": "12:30", "break_ends": "13:00", "days": _days(opening or WEEK)}


class SessionForm(RowForm[VisitKind]):
    price = NumberField(
        label=in_units("Price, {units}"), help_text=in_units("{tax} included."), decimal_places=2, min_value=0
    )
    deposit = NumberField(label=in_units("Deposit, {units}"), help_text="0 for none.", decimal_places=2, min_value=0)

    class Meta:
        model = VisitKind
        fields = ["name", "goes_home_with", "booked_as", "minutes", "price", "deposit"]
        labels = {"goes_home_with": "What the owner goes home with", "booked_as": "The judgement treats it as"}
        help_texts = {"minutes": "On the rollers, in steps of five.", "goes_home_with": "One line.", "booked_as": ""}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["booked_as"] = forms.ChoiceField(
            label="The judgement treats it as",
            choices=[(VisitKind.SET_UP, "a set-up"), (VisitKind.POWER_RUN, "a power run")],
        )

    @staticmethod
    def suggested(kept: VisitKind | None) -> dict[str, object]:
        """For a garage that has none: nothing about money."""
        if kept:
            return {"price": kept.price or None}
        words = "A machine set up for its pipe and filter, with its curve on paper."
        return {"name": "Set-up", "goes_home_with": words, "minutes": 90, "deposit": 0}


class MoneyForm(RowForm[Shop]):
    labour_per_hour = NumberField(
        label=in_units("Labour, {units} an hour"), help_text=in_units("{tax} included."), decimal_places=2, min_value=0
    )

    class Meta:
        model = Shop
        fields = ["labour_per_hour", "vat_number", "payment_words"]
        labels = {"vat_number": "VAT number", "payment_words": "How to pay"}
        help_texts = {
            "vat_number": "Empty: not registered, invoices carry no VAT.",
            "payment_words": "As printed on invoices, and in the mail that asks for a deposit.",
        }
        widgets = {"payment_words": forms.Textarea(attrs={"rows": 3})}


def _days(numbers: Iterable[int]) -> list[str]:
    return [str(number) for number in numbers]
