"""How a change is answered: one way for a form, one for a button. The error itself knows the status.

A form    something was typed or picked. carried_out() tries the change. Where something stood in the way the view draws
          its page again with that form: what was typed is kept, and the sentence stands in its place. status_of() the
          form is the page's status.
A button  there is nothing to lose. pressed() tries the change and goes back to the page the button stood on, which says
          what came of it. htmx gets the fragment with the sentence in it, and the error's status.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, ClassVar, Generic, TypeVar

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, QueryDict

from garage.core.errors import BadInput, Showable
from garage.views.requests import PageRequest

Made = TypeVar("Made")

UNUSABLE = 422


@dataclass(frozen=True)
class CarriedOut(Generic[Made]):
    """made: what the change gave back."""

    made: Made


def posted(request: HttpRequest) -> QueryDict | None:
    """What a form is bound to: nothing while its page is only looked at."""
    return request.POST if request.method == "POST" else None


def carried_out(form: forms.BaseForm, change: Callable[[], Made]) -> CarriedOut[Made] | None:
    """The change, made; None where the form was not sent, or now says what stood in the way."""
    if not form.is_valid():
        return None
    try:
        return CarriedOut(change())
    except Showable as error:
        say_on(form, error)
    return None


def say_on(form: forms.BaseForm, error: Showable) -> None:
    """Beside the field that the error names, else at the head of the form."""
    form.add_error(_field_called(form, error.where) if isinstance(error, BadInput) else None, _Said(error))


def status_of(form: forms.BaseForm | None) -> int:
    """200 while nothing is wrong, else the error's own; 422 where the form itself could not use what was typed."""
    if form is None or not form.is_bound or form.is_valid():
        return 200
    error = error_of(form)
    return error.status if error else UNUSABLE


def error_of(form: forms.BaseForm | None) -> Showable | None:
    """What stood in the way of the change, for a page that says more of it than its sentence."""
    said = [error for errors in form.errors.as_data().values() for error in errors] if form else []
    return next((error.error for error in said if isinstance(error, _Said)), None)


def sentence_of(form: forms.BaseForm | None) -> str:
    """The first sentence, for a page that has one place for it; empty while nothing is wrong."""
    if form is None or not form.errors:
        return ""
    return str((form.non_field_errors() or next(iter(form.errors.values())))[0])


def pressed(
    request: PageRequest,
    change: Callable[[], object],
    *,
    then: HttpResponse,
    said: str = "",
    fragment: Callable[[str], HttpResponse] | None = None,
) -> HttpResponse:
    """then: the redirect to the page the button stood on. said: the message once it is done.

    fragment: draws what htmx gets, with the sentence that says why not, or with an empty one.
    """
    trouble, status = "", 200
    try:
        change()
    except Showable as error:
        trouble, status = error.sentence, error.status
    if fragment and request.htmx:
        answer = fragment(trouble)
        answer.status_code = status
        return answer
    if trouble:
        messages.error(request, trouble)
    elif said:
        messages.success(request, said)
    return then


class ButtonForm(forms.Form):
    """What comes with a button. allowed: by field, what may stand there, for the sentence that says so."""

    allowed: ClassVar[Mapping[str, str]]

    def sent(self) -> dict[str, Any]:
        """Checked. Raises trouble() where something cannot be used."""
        if self.is_valid():
            return self.cleaned_data
        raise self.trouble()

    def trouble(self) -> Showable:
        name = next(iter(self.errors))
        return BadInput(name.replace("_", " ").capitalize(), self.data.get(name), self.allowed[name])


class Unusable(Showable):
    """What was sent cannot be used, in a sentence of its own."""

    status = UNUSABLE


class _Said(ValidationError):
    """A change's own error where a form shows it."""

    def __init__(self, error: Showable) -> None:
        super().__init__(error.sentence)
        self.error = error


def _field_called(form: forms.BaseForm, where: str) -> str | None:
    """The field whose name or label the error says; None puts the sentence at the head of the form."""
    for name, field in form.fields.items():
        if where.casefold() in {name.casefold(), str(field.label or "").casefold()}:
            return name
    return None
