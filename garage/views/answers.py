"""How a change is answered: one way for a form, one for a button. The error knows its own status.

A form    something was typed or picked. carried_out() tries the change. If it fails, the view draws its page again with
          that form, which keeps what was typed and shows the sentence in its place. status_of() the form is the page's
          status.
A button  there is nothing to lose. pressed() tries the change and goes back to the page with the button, which says
          what happened, at the place that was tapped. htmx gets the fragment with the sentence in it, and the error's
          status.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, ClassVar, Generic, TypeVar
from urllib.parse import urldefrag

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
    """made: what the change returned."""

    made: Made


def posted(request: HttpRequest) -> QueryDict | None:
    """What a form is bound to: nothing on a GET."""
    return request.POST if request.method == "POST" else None


def carried_out(form: forms.BaseForm, change: Callable[[], Made]) -> CarriedOut[Made] | None:
    """The change, made. None if the form was not sent or now has an error."""
    if not form.is_valid():
        return None
    try:
        return CarriedOut(change())
    except Showable as error:
        say_on(form, error)
    return None


def say_on(form: forms.BaseForm, error: Showable) -> None:
    """Beside the field that the error names, else at the top of the form."""
    form.add_error(_field_called(form, error.where) if isinstance(error, BadInput) else None, _Said(error))


def status_of(form: forms.BaseForm | None) -> int:
    """200 without errors, else the error's own status. 422 if the form itself could not use what was typed."""
    if form is None or not form.is_bound or form.is_valid():
        return 200
    error = error_of(form)
    return error.status if error else UNUSABLE


def error_of(form: forms.BaseForm | None) -> Showable | None:
    """The error of the change, for a page that says more about it than its sentence."""
    said = [error for errors in form.errors.as_data().values() for error in errors] if form else []
    return next((error.error for error in said if isinstance(error, _Said)), None)


def sentence_of(form: forms.BaseForm | None) -> str:
    """The first sentence, for a page with room for one. Empty without errors."""
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
    """then: the redirect to the page with the button, at the place that was tapped if that helps. said: the message
    once it is done.

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
        return _at_the_top(then)
    if said:
        messages.success(request, said)
    return then


def _at_the_top(then: HttpResponse) -> HttpResponse:
    """Without the place on the page that was tapped: the sentence that says why not stands above it."""
    then["Location"] = urldefrag(then["Location"]).url
    return then


class ButtonForm(forms.Form):
    """What a button sends. allowed: by field, what it may hold, for the error sentence."""

    allowed: ClassVar[Mapping[str, str]]

    def sent(self) -> dict[str, Any]:
        """The checked values. Raises trouble() if something cannot be used."""
        if self.is_valid():
            return self.cleaned_data
        raise self.trouble()

    def trouble(self) -> Showable:
        name = next(iter(self.errors))
        return BadInput(name.replace("_", " ").capitalize(), self.data.get(name), self.allowed[name])


class Unusable(Showable):
    """What was sent cannot be used. The sentence is its own."""

    status = UNUSABLE


class _Said(ValidationError):
    """A change's own error, shown on a form."""

    def __init__(self, error: Showable) -> None:
        super().__init__(error.sentence)
        self.error = error


def _field_called(form: forms.BaseForm, where: str) -> str | None:
    """The field whose name or label the error gives. None puts the sentence at the top of the form."""
    for name, field in form.fields.items():
        if where.casefold() in {name.casefold(), str(field.label or "").casefold()}:
            return name
    return None
