"""Forms about more work than was agreed: asking the owner, the answer, and an invoice that goes above it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any

from django import forms
from django.core.files.uploadedfile import UploadedFile
from django.utils.datastructures import MultiValueDict

from garage.changes.visit.photos import ALLOWED
from garage.models.people import Person
from garage.models.visits import Photo
from garage.reads.people import who_works_here
from garage.views.answers import ButtonForm
from jobs.core.billing.agreed import LONGEST_ASKED, LONGEST_WHY
from jobs.models.consents import Consent
from jobs.views.forms import PoundsField
from jobs.views.forms_money import KeyedForm

ANSWERS = [(Consent.YES, "yes"), (Consent.NO, "no")]


class AskForm(KeyedForm):
    words = forms.CharField(
        label="What is to be done, and why",
        max_length=LONGEST_ASKED,
        help_text="The owner reads exactly this, and it stays as it is.",
        widget=forms.Textarea({"rows": 4}),
    )
    price = PoundsField(label="Price, VAT included", help_text="All of it: labour and parts.")
    photos = forms.TypedMultipleChoiceField(label="Photos to show", coerce=int, required=False)
    photo = forms.FileField(
        label="A photo taken now",
        required=False,
        help_text=f"{ALLOWED[0].upper()}{ALLOWED[1:]}.",
        widget=forms.FileInput({"accept": "image/*", "capture": "environment"}),
    )

    def __init__(
        self,
        data: Mapping[str, Any] | None = None,
        files: MultiValueDict[str, UploadedFile[bytes]] | None = None,
        *,
        of: Iterable[Photo],
        initial: Mapping[str, object] | None = None,
    ) -> None:
        """of: the photos to choose from."""
        super().__init__(data, initial=initial)
        self.files = files if files is not None else MultiValueDict()
        choices = [(photo.pk, photo.words or "Photo") for photo in of]
        self.fields["photos"].choices = choices  # type: ignore[attr-defined]  # to django-stubs a plain Field


class PersonChoice(forms.ModelChoiceField):  # type: ignore[type-arg]  # in Django itself it takes none
    def label_from_instance(self, obj: Person) -> str:
        return obj.name


class PhoneAnswerForm(forms.Form):
    """What the owner said on the telephone."""

    answer = forms.ChoiceField(label="What the owner said", choices=[("", "choose"), *ANSWERS])
    heard_by = PersonChoice(Person.objects.none(), label="Who heard it")
    heard_at = forms.DateTimeField(
        label="When", widget=forms.DateTimeInput({"type": "datetime-local"}, format="%Y-%m-%dT%H:%M")
    )

    def __init__(self, data: Mapping[str, Any] | None = None, *, by: Person, now: datetime) -> None:
        super().__init__(data, initial={"heard_by": by.pk, "heard_at": now})
        self.now = now
        self.fields["heard_by"].queryset = who_works_here()  # type: ignore[attr-defined]  # to django-stubs a plain Field

    def clean_heard_at(self) -> datetime:
        """The minute that it is now has begun already."""
        at: datetime = self.cleaned_data["heard_at"]
        return min(at, self.now) if at <= self.now.replace(second=59, microsecond=999999) else at


class OwnerAnswerForm(ButtonForm):
    answer = forms.ChoiceField(choices=ANSWERS)
    allowed = {"answer": "yes or no"}


class AboveForm(KeyedForm):
    why = forms.CharField(
        label="Why it goes above that", max_length=LONGEST_WHY, help_text="Your name and this stay in the trail."
    )
