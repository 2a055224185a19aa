"""A reading taken in the workshop goes into the judgement, so that nobody types it twice."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.db import transaction

from diagnostics.changes import judgements
from diagnostics.changes.findings import put_down
from diagnostics.core.readings import ReadingTaken, answer_of
from diagnostics.models.readings import Reading
from diagnostics.models.sheets import Finding
from diagnostics.reads.case import visit_case
from diagnostics.reads.readings import latest_readings
from garage.changes.day.locks import visit_for_change
from garage.core.errors import Refused
from garage.models.people import Person
from garage.models.visits import Visit


@transaction.atomic
def record(visit: Visit, taken: ReadingTaken, *, by: Person, now: datetime) -> Reading:
    visit = visit_for_change(visit)
    row = Reading.objects.create(
        visit=visit, what=taken.kind.id, value=taken.value, unit=taken.unit, rpm=taken.rpm, at=now, by=by
    )
    if found := answer_of(row.what, taken.value, row.unit):
        _found(visit, *found, by=by, now=now)
    return row


@transaction.atomic
def withdraw(reading: Reading, *, by: Person, now: datetime) -> None:
    """It was wrong: the reading before it counts again, or what the owner had said."""
    visit = visit_for_change(reading.visit)
    reading = Reading.objects.get(pk=reading.pk)
    if reading.withdrawn_at:
        raise Refused("This reading was already withdrawn.")
    newest = latest_readings(visit).get(reading.what)
    reading.withdrawn_at = now
    reading.save(update_fields=["withdrawn_at"])
    said = answer_of(reading.what, reading.value, reading.unit)
    if said is not None and newest is not None and newest.pk == reading.pk:
        before = latest_readings(visit).get(reading.what)
        known = answer_of(before.what, before.value, before.unit) if before else None
        _found(visit, said[0], known[1] if known else _said_before(reading, said[0]), by=by, now=now)


def _said_before(reading: Reading, question: str) -> Any:
    """The last answer before any reading was taken; not tried, if there was none."""
    first = Reading.objects.filter(visit=reading.visit, what=reading.what).order_by("at", "id").first() or reading
    earlier = Finding.objects.filter(visit=reading.visit, question=question, at__lt=first.at).last()
    return earlier.answer if earlier else Finding.NOT_TRIED


def _found(visit: Visit, question: str, answer: Any, *, by: Person, now: datetime) -> None:
    known = put_down(visit_case(visit), question=question, answer=answer, source=Finding.WORKSHOP, by=by, now=now)
    judgements.judge(known, now=now)
