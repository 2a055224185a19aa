"""Answers picked or typed for a question of the bank."""

from __future__ import annotations

from typing import Any

from django import forms
from django.http import QueryDict

from diagnostics.core.bank.bank import NUMBER, SEVERAL, Question
from diagnostics.core.findings import UNSURE
from diagnostics.models.sheets import Finding
from garage.core.errors import BadInput, Unquoted
from garage.core.text.languages import told
from garage.views.answers import say_on


class AnswerForm(forms.Form):
    """An answer picked or typed for one question, not yet checked against the bank."""

    def __init__(self, data: QueryDict | None, *, question: Question) -> None:
        super().__init__(data)
        self.question, self.sent = question, data or QueryDict()

    def clean(self) -> dict[str, Any]:
        try:
            return {"answer": read_given(self.question, self.sent)}
        except BadInput as error:
            say_on(self, error)
            return {}

    def told(self) -> dict[str, Any]:
        """earlier: on the page of a test that must not be done now."""
        return {"given": self.cleaned_data["answer"], "is_from_earlier": self.sent.get("earlier") == "yes"}


class RevOutForm(forms.Form):
    """All ticks of the rev-out page, and the answer, which is empty if only ticks were sent."""

    answer = forms.CharField(required=False)
    tick = forms.Field(required=False, widget=forms.SelectMultiple)

    def told(self) -> dict[str, Any]:
        return {"given": self.cleaned_data["answer"], "ticks": self.cleaned_data["tick"]}


class RouteForm(forms.Form):
    """Where a person sends a visit; an empty route is the judged one. The change asks for a reason if one is needed."""

    route = forms.CharField(required=False)
    why = forms.CharField(required=False)


class RemarkForm(forms.Form):
    remark = forms.CharField(required=False)


class GuideForm(forms.Form):
    slug = forms.CharField(required=False)


class PutRightForm(forms.Form):
    words = forms.CharField(required=False, label="Found and put right")


class LeaveForm(forms.Form):
    why = forms.CharField(required=False)


def read_given(question: Question, data: QueryDict, name: str = "answer") -> Any:
    """The answer as given, not yet checked against the bank. Raises BadInput if nothing was given."""
    given = [one.strip() for one in data.getlist(name) if one.strip()]
    if not given:
        raise BadInput(told("The answer"), None, _allowed(question))
    for word in (UNSURE, Finding.NOT_TRIED):
        if word in given:
            return word
    if question.kind == NUMBER:
        return _number(question, given[0])
    if question.nothing in given and len(given) > 1:
        picked = Unquoted(", ".join(told(question.say(one)) for one in given))
        nothing = told(question.say(question.nothing)).lower()
        raise BadInput(told("The answer"), picked, told("{nothing} only by itself", nothing=nothing))
    return given if question.kind == SEVERAL else given[0]


def _allowed(question: Question) -> str:
    if question.kind == NUMBER:
        return told("a number of {unit}", unit=told(question.unit))
    if question.kind == SEVERAL:
        return told("a tick, or one of the buttons below")
    return told("one of the answers")


def _number(question: Question, text: str) -> float:
    """Accepts a decimal comma."""
    try:
        number = float(text.replace(",", "."))
    except ValueError as error:
        allowed = told(
            "a number of {unit} from {lowest} to {highest}",
            unit=told(question.unit),
            lowest=f"{question.lowest:g}",
            highest=f"{question.highest:g}",
        )
        raise BadInput(told("The answer"), text, allowed) from error
    return int(number) if number.is_integer() else number
