"""What a gate means for the visit and its time. How it was judged is not known here."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

from django.db import transaction

from garage.changes import trail
from garage.changes.day import locks, planned_steps, routes, steps
from garage.core import roller_rule
from garage.core.roller_rule import RollerAct
from garage.models.people import Person
from garage.models.shop import ROLLER
from garage.models.visits import Visit
from garage.reads.roller_facts import roller_facts_of
from garage.reads.shop import the_shop

BOTH_PARTS = ["gate_at_bench_passed_at", "gate_passed_at"]
READY_AFTER_A_FAILED_GATE = 0.5  # upper limit until it is judged again. No source


@transaction.atomic
def passed_at_the_bench(visit: Visit, *, by: Person, now: datetime) -> Visit:
    """It may stand on the rollers from now on, to be strapped down. An earlier gate no longer counts."""
    visit = locks.visit_for_change(visit)
    roller_rule.check(RollerAct.THROUGH_THE_GATE, roller_facts_of(visit))
    visit.gate_at_bench_passed_at, visit.gate_passed_at = now, None
    visit.save(update_fields=BOTH_PARTS)
    trail.about_visit(visit, "passed the gate at the bench", by=by, now=now)
    return visit


@transaction.atomic
def bench_again(visit: Visit, *, by: Person, now: datetime) -> Visit:
    """Something has changed: it has to pass at the bench again before it stands on the rollers."""
    visit = locks.visit_for_change(visit)
    visit.gate_at_bench_passed_at = visit.gate_passed_at = None
    visit.save(update_fields=BOTH_PARTS)
    trail.about_visit(visit, "the gate at the bench is done again", by=by, now=now)
    return visit


@transaction.atomic
def passed(visit: Visit, *, by: Person, now: datetime) -> Visit:
    """Both parts are in order: the machine may be run on the rollers from now on."""
    visit = locks.visit_for_change(visit)
    roller_rule.check(RollerAct.THROUGH_THE_GATE, roller_facts_of(visit))
    planned_steps.drop_gate(visit)
    visit.gate_at_bench_passed_at = visit.gate_at_bench_passed_at or now
    visit.gate_passed_at = now
    visit.save(update_fields=BOTH_PARTS)
    trail.about_visit(visit, "let through the gate", by=by, now=now)
    return visit


@transaction.atomic
def overridden(visit: Visit, *, failed_for_good: Sequence[str], by: Person, now: datetime) -> Visit:
    """A person who may lets it through a failed gate: it may stand on the rollers, and is strapped down and checked
    there before it runs. failed_for_good: what nobody overrides, as sentences.
    """
    visit = locks.visit_for_change(visit)
    facts = replace(roller_facts_of(visit), failed_for_good=tuple(failed_for_good))
    roller_rule.check(RollerAct.OVERRIDE, facts)
    planned_steps.drop_gate(visit)
    visit.gate_at_bench_passed_at = now
    visit.save(update_fields=BOTH_PARTS)
    trail.about_visit(visit, "let through a failed gate, to be strapped down", by=by, now=now)
    return visit


@transaction.atomic
def failed(visit: Visit, *, reasons: Sequence[str], bench_minutes: int, by: Person, now: datetime) -> Visit:
    """To fix first. The rollers are free again, and bench work and another gate are planned before them."""
    visit = locks.visit_for_change(visit)
    visit.gate_at_bench_passed_at = visit.gate_passed_at = None
    visit.save(update_fields=BOTH_PARTS)
    visit = steps.take_off_the_rollers(visit, by=by, now=now)
    trail.about_visit(visit, "failed the gate", by=by, now=now, reasons=list(reasons))
    chance = min(visit.ready_chance, READY_AFTER_A_FAILED_GATE)
    visit = routes.fix_first(visit, reasons=reasons, ready_chance=chance, bench_minutes=bench_minutes, by=by, now=now)
    if visit.kind.at == ROLLER:
        planned_steps.need_the_rollers(visit, visit.kind.minutes, the_shop())
    return visit
