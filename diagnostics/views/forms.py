"""What is picked or typed as an answer to a question of the bank."""

from __future__ import annotations

from typing import Any

from django.http import QueryDict

from diagnostics.core.bank.bank import NUMBER, SEVERAL, Question
from diagnostics.core.findings import UNSURE
from diagnostics.models.sheets import Finding
from garage.core.errors import BadInput


def read_given(question: Question, data: QueryDict, name: str = "answer") -> Any:
    """The answer as it was given, not yet held against the bank; BadInput where nothing was given."""
    given = [one.strip() for one in data.getlist(name) if one.strip()]
    if not given:
        allowed = "a tick, or one of the buttons below" if question.kind == SEVERAL else "one of the answers"
        raise BadInput("The answer", None, allowed if question.kind != NUMBER else f"a number of {question.unit}")
    for word in (UNSURE, Finding.NOT_TRIED):
        if word in given:
            return word
    if question.kind == NUMBER:
        return _number(question, given[0])
    return given if question.kind == SEVERAL else given[0]


def _number(question: Question, text: str) -> float:
    """A decimal comma is taken for a point."""
    try:
        number = float(text.replace(",", "."))
    except ValueError as error:
        allowed = f"a number of {question.unit} from {question.lowest:g} to {question.highest:g}"
        raise BadInput("The answer", text, allowed) from error
    return int(number) if number.is_integer() else number
