"""What is typed to give a visit a time, call it off or take a machine in, and what its buttons send."""

from __future__ import annotations

from typing import Any

from django import forms

from garage.changes.visit.limits import MOST_POUNDS
from garage.changes.visit.photos import ALLOWED
from garage.core import states
from garage.core.errors import BadInput, Showable
from garage.models.shop import PLACE_KINDS
from garage.models.visits import TakeIn
from garage.views.answers import ButtonForm
from garage.views.booking.forms import InstantField
from garage.views.money_labels import in_units
from garage.views.plain_words import leads_nowhere
from garage.views.row_form import RowForm
from garage.views.shop.forms import day_field


class PlaceForm(forms.Form):
    """Where, and for how long, a visit without a time will have one."""

    at = forms.ChoiceField(label="Where", choices=PLACE_KINDS)
    minutes = forms.IntegerField(
        label="Minutes", min_value=5, max_value=600, widget=forms.NumberInput({"class": "short"})
    )


class PlaceAndTimeForm(PlaceForm):
    """PlaceForm plus one of the times shown for it."""

    starts_at = InstantField()

    def clean(self) -> dict[str, Any]:
        if self.errors:
            raise forms.ValidationError("Choose a place, a length and one of the times.")
        return self.cleaned_data


class WhyForm(forms.Form):
    why = forms.CharField(
        label="Why?",
        max_length=200,
        validators=[leads_nowhere],
        help_text="The owner reads it in the mail.",
        widget=forms.TextInput(),
    )


class CallOffForOwnerForm(WhyForm):
    owner_asked = forms.BooleanField(label="The owner asked for it", required=False)


class WaitForm(forms.Form):
    day = day_field("Wait until")


class BenchLimitForm(forms.Form):
    pounds = forms.IntegerField(
        label=in_units("Up to, in whole {units}"),
        min_value=0,
        max_value=MOST_POUNDS,
        help_text="VAT and parts included. 0: ask before anything is done.",
        widget=forms.NumberInput({"class": "short"}),
    )


class StateForm(ButtonForm):
    state = forms.ChoiceField(choices=states.WORDS.items())
    allowed = {"state": "one of the states on the page"}


class TakeInForm(RowForm[TakeIn]):
    class Meta:
        model = TakeIn
        fields = ["how_it_came", "key_left", "came_with", "remarks", "stays_overnight"]
        labels = {
            "how_it_came": "How did it come?",
            "key_left": "We have the key",
            "came_with": "What came with it",
            "remarks": "Scratches, leaks, what the owner said at the door",
            "stays_overnight": "It stays overnight (a floor place)",
        }
        help_texts = {"remarks": ""}  # the label says it
        widgets = {"came_with": forms.Textarea(attrs={"rows": 2}), "remarks": forms.Textarea(attrs={"rows": 3})}


class PhotoForm(ButtonForm):
    photo = forms.FileField()
    words = forms.CharField(max_length=120, required=False)
    taken_for = forms.ChoiceField(choices=[("take-in", "take-in"), ("gate", "gate"), ("card", "card")])
    key = forms.UUIDField(required=False)

    def trouble(self) -> Showable:
        return BadInput("photo", None, ALLOWED)
