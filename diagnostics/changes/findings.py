"""Findings: each answer or reading with who gave it and when. Old rows are kept; one is current."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.db import transaction

from diagnostics.changes import judgements
from diagnostics.core.findings import OILINGS, UNSURE, read_answer
from diagnostics.models.sheets import Finding
from diagnostics.reads.bank import question_or_none
from diagnostics.reads.case import VisitCase, answer_words, visit_case
from garage.changes import trail
from garage.changes.day.locks import visit_for_change
from garage.changes.shop.kinds import oiled_by
from garage.core import states
from garage.core.errors import BadInput, Refused
from garage.core.text.languages import in_english, told
from garage.models.actors import OWNER, Actor, person_of
from garage.models.people import Person
from garage.models.visits import Visit

OILING = "oiling"  # the question that tells it


@transaction.atomic
def record(visit: Visit, *, question: str, answer: Any, source: str, by: Person, now: datetime) -> Finding:
    """The workshop enters what it saw, or what the owner said. The visit is judged again.

    answer: as the bank allows for the question, or unsure, or not-tried.
    """
    known = visit_case(visit_for_change(visit))
    known = put_down(known, question=question, answer=answer, source=source, by=by, now=now)
    judgements.judge(known, now=now)
    return known.findings[question]


def put_down(known: VisitCase, *, question: str, answer: Any, source: str, by: Actor, now: datetime) -> VisitCase:
    """Enters a finding without judging again, for changes that enter several on a visit they have locked."""
    visit, before = known.visit, known.findings.get(question)
    if visit.state in states.OVER:
        raise Refused(f"Visit {visit.number} is {visit.state_words}: no more findings can be added.")
    answer, person = _read(question, answer), person_of(by)
    if before and (before.answer, before.source, before.by) == (answer, source, person):
        return known
    if before:
        Finding.objects.filter(pk=before.pk).update(is_standing=False)
    finding = Finding.objects.create(visit=visit, question=question, answer=answer, source=source, by=person, at=now)
    if before or by is not OWNER:
        was = f", was {in_english(answer_words, question, before.answer)}" if before else ""
        said = in_english(answer_words, question, answer)
        trail.about_visit(visit, f"finding {question}: {said}{was}", by=by, now=now)
    if question == OILING and answer in OILINGS:  # asked once, and kept with the machine
        visit.machine = oiled_by(visit.machine, oiling=answer, by=by, now=now)
    return known.with_finding(finding)


def _read(question_id: str, answer: Any) -> Any:
    """The answer as it is stored. Raises BadInput if the bank has no such question or answer."""
    question = question_or_none(question_id)
    if question is None:
        raise BadInput("The question", question_id, "a question of the bank")
    if answer in (UNSURE, Finding.NOT_TRIED):
        return answer
    try:
        read = read_answer(question, answer)
    except BadInput as bad:
        raise BadInput(told("The answer"), bad.found, bad.allowed) from bad
    return list(read) if isinstance(read, tuple) else read
