"""What the findings say against running a machine, told by the room that judges them."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from django.db import transaction

from garage.changes import trail
from garage.changes.day import planned_steps
from garage.changes.day.locks import visit_for_change
from garage.models.actors import Actor
from garage.models.visits import Visit
from garage.reads.shop import the_shop


@transaction.atomic
def must_not_run(visit: Visit, *, sentences: Sequence[str], by: Actor, now: datetime) -> Visit:
    """sentences: the findings that say so, in place of those known before; empty once none says so any more.

    Nothing else of the visit is moved: a roller time agreed before stays as a wish until its route is decided. A gate
    passed before the finding no longer counts, so that what is put right afterwards is looked at again.
    """
    visit = visit_for_change(visit)
    if visit.must_not_run == list(sentences):
        return visit
    visit.must_not_run = list(sentences)
    said = f"must not run: {' '.join(sentences)}" if sentences else "no finding says any more that it must not run"
    trail.about_visit(visit, said, by=by, now=now)
    if sentences:
        had_passed = visit.gate_passed_at is not None
        visit.gate_at_bench_passed_at = visit.gate_passed_at = None
        if had_passed:
            planned_steps.need_another_gate(visit, the_shop())
    visit.save(update_fields=["must_not_run", "gate_at_bench_passed_at", "gate_passed_at"])
    return visit
