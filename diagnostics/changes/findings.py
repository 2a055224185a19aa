"""Findings: each answer or reading with its giver and time. The old row is kept, one stands."""

from __future__ import annotations

from typing import Any

from django.db import transaction
from django.utils import timezone

from diagnostics.changes import judgements
from diagnostics.core.findings import UNSURE, read_answer
from diagnostics.models.sheets import Finding
from diagnostics.reads.bank import question_or_none
from diagnostics.reads.case import answer_words
from garage.changes import trail
from garage.changes.locks import visit_for_change
from garage.core import states
from garage.core.errors import BadInput, Refused
from garage.models.actors import OWNER
from garage.models.people import Person
from garage.models.visits import Visit


@transaction.atomic
def record(visit: Visit, *, question: str, answer: Any, source: str, by: Person | None = None) -> Finding:
    """answer: as the bank allows for the question, or unsure, or not-tried. The judgement is made again."""
    visit = visit_for_change(visit)
    finding = put_down(visit, question=question, answer=answer, source=source, by=by)
    judgements.judge_again(visit)
    return finding


def put_down(visit: Visit, *, question: str, answer: Any, source: str, by: Person | None) -> Finding:
    """The finding itself, without judging again: for changes that put down several, on a visit they have locked."""
    _check_it_is_open(visit, by)
    answer = _read(question, answer)
    before = Finding.objects.filter(visit=visit, question=question, is_standing=True).first()
    if before and (before.answer, before.source, before.by_id) == (answer, source, by and by.pk):
        return before
    if before:
        Finding.objects.filter(pk=before.pk).update(is_standing=False)
    finding = Finding.objects.create(
        visit=visit, question=question, answer=answer, source=source, by=by, at=timezone.now()
    )
    if by or before:
        was = f", was {answer_words(question, before.answer)}" if before else ""
        did = f"finding {question}: {answer_words(question, answer)}{was}"
        trail.about_visit(visit, did, by=by or OWNER)
    return finding


def _check_it_is_open(visit: Visit, by: Person | None) -> None:
    if by is None and visit.state not in states.COMING:
        raise Refused("Your machine is with us or the visit is over, so the sheet is closed: tell us by telephone.")
    if visit.state in states.OVER:
        raise Refused(f"Visit {visit.number} is {visit.state_words}: no finding is added any more.")


def _read(question_id: str, answer: Any) -> Any:
    """The answer as it is kept. Raises BadInput where the bank has no such question or answer."""
    question = question_or_none(question_id)
    if question is None:
        raise BadInput("The question", question_id, "a question of the bank")
    if answer in (UNSURE, Finding.NOT_TRIED):
        return answer
    try:
        read = read_answer(question, answer)
    except BadInput as bad:
        raise BadInput("The answer", bad.found, bad.allowed) from bad
    return list(read) if isinstance(read, tuple) else read
