"""Forms for the card, the book and what owners choose."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any, cast

from django import forms
from django.utils.translation import gettext_lazy

from diagnostics.core.readings import KINDS
from diagnostics.pages.causes import fault_choices
from garage.changes.visit.limits import MOST_POUNDS
from garage.core import money
from garage.core.errors import BadInput
from garage.core.selling.owner_choice import MYSELF
from garage.core.text.languages import told_later
from garage.views.answers import ButtonForm
from garage.views.booking.forms import TimeForm
from garage.views.day_field import DayField
from garage.views.money_labels import in_units
from garage.views.plain_words import leads_nowhere
from jobs.changes.cards import INSURED
from jobs.changes.closing import SAY_WHETHER
from jobs.core.billing.invoice import MOST_OF_A_PART
from jobs.core.runs.jets import LEAN
from jobs.models.cards import Labour
from jobs.models.parts import StockPart
from jobs.reads.parts import listed_parts

OWN_WORDS = ("", "in own words, below")


class PoundsField(forms.CharField):
    """An amount as people type it."""

    def __init__(self, *, label: str, help_text: str = "", required: bool = True) -> None:
        widget = forms.TextInput(attrs={"inputmode": "decimal", "class": "short", "autocomplete": "off"})
        super().__init__(max_length=20, widget=widget, label=label, help_text=help_text, required=required)

    def clean(self, value: object) -> Decimal | None:
        text = super().clean(value)
        if not text:
            return None
        sign = -1 if text.strip().startswith(("-", "−")) else 1
        try:
            return sign * money.pounds(text.strip().lstrip("-−"), where=str(self.label))
        except BadInput as trouble:
            raise forms.ValidationError(trouble.sentence) from trouble


class CardForm(forms.Form):
    """One of several forms on the card, so its field ids carry its name."""

    name = ""
    says = ""
    does = "Write it on the card"

    def __init__(self, data: Mapping[str, Any] | None = None, **given: Any) -> None:
        super().__init__(data, auto_id=f"{self.name}_%s", **given)


class CardLineForm(CardForm):
    """One of several in one form of the page: what is not filled in is not written."""

    def __init__(self, data: Mapping[str, Any] | None = None) -> None:
        super().__init__(data, prefix=self.name, empty_permitted=True, use_required_attribute=False)

    def has_changed(self) -> bool:
        """Something was typed or chosen. What was only emptied is not filled in."""
        return any(self.data.get(self.add_prefix(name)) for name in self.changed_data)

    @property
    def is_filled(self) -> bool:
        return self.is_bound and self.has_changed()


class WorkForm(CardLineForm):
    name, says = "work", "Work done"
    words = forms.CharField(max_length=200, label="What was done")


class NoteForm(CardLineForm):
    name, says = "note", "Note"
    words = forms.CharField(max_length=200, label="Note")


class JetForm(CardLineForm):
    name, says = "jet", "Jet"
    words = forms.CharField(max_length=60, label="Which jet", initial="Main jet")
    before = forms.CharField(max_length=30, required=False, label="Taken out")
    after = forms.CharField(max_length=30, required=False, label="Put in", help_text=LEAN)
    pulled_clean = forms.BooleanField(
        required=False,
        label="If your rollers keep no file: on this visit it has run at working load and did not break down",
    )


class RideForm(CardLineForm):
    name, says = "ride", "Test ride"
    words = forms.CharField(max_length=200, label="Where, and what it showed")
    rider = forms.CharField(max_length=30, required=False, label="Who rode it", help_text="Empty: you did.")
    insured = forms.ChoiceField(
        choices=[("", "choose"), *((one, one) for one in INSURED)],
        label="Insurance",
        help_text="Nobody rides a machine that must not run, or without insurance and the licence for it.",
    )


class ReadingForm(CardLineForm):
    name, says = "reading", "Reading"
    of = forms.ChoiceField(
        required=False,
        initial=KINDS[0].id,
        label="What was read",
        choices=[*((kind.id, kind.say) for kind in KINDS), ("", "something else, in words below")],
        help_text="One reading at one speed: timing at tickover and at peak revs are two. All but the last go on "
        "to the judgement and the gate: they are not typed there again.",
    )
    words = forms.CharField(max_length=160, required=False, label="In your own words")
    before = forms.CharField(max_length=30, required=False, label="As found")
    after = forms.CharField(
        max_length=30, required=False, label="As left", help_text="Read again at the same speed, after the work."
    )
    unit = forms.CharField(
        max_length=12, required=False, label="Unit", help_text="Empty: degrees BTDC for the strobe, bar for the gauge."
    )
    rpm = forms.IntegerField(required=False, min_value=0, label="At how many revs a minute")


class PartChoice(forms.ModelChoiceField):  # type: ignore[type-arg]  # in Django itself it takes none
    def label_from_instance(self, obj: StockPart) -> str:
        lies = f", {obj.place}" if obj.place else ""
        return f"{obj.words}: {obj.count.normalize():f} in stock{lies}, {money.pounds_words(obj.price_each)}"


class PartForm(CardLineForm):
    """From the shop's list, or in own words. What is ordered goes on the card once it has come."""

    name, says = "part", "Part"
    stock = PartChoice(listed_parts(), required=False, label="From the list", empty_label="not on the list")
    words = forms.CharField(max_length=120, required=False, label="Which part", help_text="Empty: as on the list.")
    quantity = forms.DecimalField(
        max_value=MOST_OF_A_PART, decimal_places=2, min_value=Decimal("0.01"), initial=1, label="How many"
    )
    price_each = PoundsField(label="Price each, VAT included", required=False, help_text="Empty: as on the list.")
    is_ordered = forms.BooleanField(required=False, label="Not here: order it for this card")
    supplier = forms.CharField(max_length=80, required=False, label="Ordered from")

    def __init__(self, data: Mapping[str, Any] | None = None) -> None:
        super().__init__(data)
        self.fields["quantity"].widget.attrs["class"] = "short"


CARD_LINES = (NoteForm, PartForm, ReadingForm, JetForm, RideForm, WorkForm)  # the first stands open


class FaultForm(CardForm):
    fault = forms.ChoiceField(required=False, label="What it was")
    words = forms.CharField(max_length=160, required=False, label="In your own words")

    def __init__(self, data: Mapping[str, Any] | None = None) -> None:
        super().__init__(data)
        fault = cast("forms.ChoiceField", self.fields["fault"])  # to Django's types a plain Field
        fault.choices = [OWN_WORDS, *fault_choices()]


class CauseForm(FaultForm):
    name, says, does = "cause", "A cause: this was it", "Write it down as the cause"


class GoodForm(FaultForm):
    name, says, does = "good", "Checked, OK", "Write it down as OK"

    def __init__(self, data: Mapping[str, Any] | None = None) -> None:
        super().__init__(data)
        self.fields["fault"].label = "What was checked"


class CorrectForm(FaultForm):
    name, does = "correct", "Replace it with this"


class LateForm(FaultForm):
    name, does = "late", "Put it on the card"


class CloseForm(CardForm):
    """Asks of each clock still running how many minutes were worked, and of a come-back whether it was that again."""

    name = "close"

    def __init__(
        self, data: Mapping[str, Any] | None = None, *, clocks: Sequence[Labour], last_time: str = "", now: datetime
    ) -> None:
        """last_time: what it was then, of a come-back."""
        super().__init__(data)
        self.clocks = clocks
        if last_time:
            self.fields["again"] = forms.ChoiceField(
                label=f"A come-back. Last time: {last_time}. Was it that again?",
                choices=[("", "Choose"), ("yes", "Yes, the same trouble"), ("no", "No, something else")],
                error_messages={"required": SAY_WHETHER},
                help_text="If it was, nothing is learned any more from the card of then.",
            )
        for clock in clocks:
            minutes = max(now - clock.began_at, timedelta()) // timedelta(minutes=1)
            self.fields[self._name(clock)] = forms.IntegerField(
                min_value=0,
                initial=minutes,
                label=f"{clock.by.name}’s clock is still running: minutes worked",
                help_text=f"It shows {minutes}. Closing the card stops it.",
            )

    @property
    def was_it_again(self) -> bool | None:
        """None of a visit that is no come-back."""
        given = self.cleaned_data.get("again")
        return given == "yes" if given else None

    @property
    def worked_min(self) -> dict[int, int]:
        """By the clock's id. Only of a form that is valid."""
        return {clock.pk: self.cleaned_data[self._name(clock)] for clock in self.clocks}

    @staticmethod
    def _name(clock: Labour) -> str:
        return f"worked_{clock.pk}"


class ReopenForm(CardForm):
    name = "reopen"
    reason = forms.CharField(max_length=200, label="Why it is reopened")


class MinutesForm(forms.Form):
    minutes = forms.IntegerField(min_value=0, label="Minutes worked")


class PeriodForm(forms.Form):
    first = DayField(label="From")
    last = DayField(label="To")

    def clean(self) -> dict[str, Any]:
        values = self.cleaned_data
        if values.get("first") and values.get("last") and values["last"] < values["first"]:
            raise forms.ValidationError("The last day is before the first: swap them.")
        return values


class CallOffForm(forms.Form):
    """An owner need not say why."""

    why = forms.CharField(required=False, validators=[leads_nowhere])


class LeftWithUsForm(TimeForm):
    """The machine is left with us: when it comes, up to what bench work nobody asks again, and whether the rollers may
    follow without asking.
    """

    limit_pounds = forms.IntegerField(
        label=in_units(told_later("Bench work up to, {units}")),
        min_value=0,
        max_value=MOST_POUNDS,
        help_text=in_units(
            told_later("{tax} and parts included. Above that we ask you first. 0: we ask before anything is done.")
        ),
        error_messages={
            "required": in_units(told_later("Say up to how many {units}, or 0.")),
            "invalid": in_units(told_later("Whole {units}, such as 120.")),
        },
        widget=forms.TextInput({"inputmode": "numeric", "class": "short", "maxlength": 5}),
    )
    may_go_on = forms.BooleanField(
        label=gettext_lazy("You may go on with the rollers when they come free"), required=False
    )

    def __init__(self, data: Mapping[str, Any] | None, *, limit_pounds: int) -> None:
        super().__init__(data, initial={"limit_pounds": limit_pounds})


class ChoiceForm(ButtonForm):
    """What the workshop says for an owner who is asked: put right at home, or its time given back as it is."""

    choice = forms.ChoiceField(choices=[(MYSELF, "put right at home"), ("none", "given back")])
    allowed = {"choice": "one of the buttons on the page"}


class SearchForm(forms.Form):
    q = forms.CharField(required=False, max_length=80, label="Number, owner, machine, registration or telephone")
