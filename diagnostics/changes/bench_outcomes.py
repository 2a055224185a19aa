"""Outcomes of bench steps: checked and OK, or this was it. Each also enters causes, which are withdrawn with it."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from diagnostics.changes import bench_left, causes
from diagnostics.core.bank.bank import BankStep
from diagnostics.core.bench.outcomes import GOOD, certainly_cleared
from diagnostics.models.bench import BenchOutcome
from diagnostics.reads.bank import the_bank
from diagnostics.reads.causes import fault_words
from garage.changes import trail
from garage.changes.day.locks import visit_for_change
from garage.core import states
from garage.core.errors import BadInput, Refused
from garage.models.people import Person
from garage.models.visits import Visit


@transaction.atomic
def found_good(visit: Visit, *, step: str, by: Person, now: datetime) -> BenchOutcome:
    """The step found nothing. Faults it would certainly have shown are entered as checked and OK."""
    known = _step(step)
    outcome = _put_down(visit, known, fault=GOOD, by=by, now=now)
    for fault in certainly_cleared(known):
        causes.came_with(outcome, fault=fault, found_good=True)
    bench_left.tell(outcome.visit)
    return outcome


@transaction.atomic
def this_was_it(visit: Visit, *, step: str, fault: str, by: Person, now: datetime) -> BenchOutcome:
    """The step showed this fault and put it right, so it is entered as a cause."""
    known = _step(step)
    if fault not in known.clears:
        looked_for = ", ".join(fault_words(one) for one in known.clears)
        raise BadInput("The fault", fault or None, f"what this step looks for: {looked_for}")
    outcome = _put_down(visit, known, fault=fault, by=by, now=now)
    causes.came_with(outcome, fault=fault, found_good=False)
    bench_left.tell(outcome.visit)
    return outcome


@transaction.atomic
def take_back(outcome: BenchOutcome, *, by: Person, now: datetime) -> BenchOutcome:
    """The step counts as not done, and the causes entered with it no longer count. The rows are kept."""
    visit = visit_for_change(outcome.visit)
    outcome = BenchOutcome.objects.get(pk=outcome.pk)
    if outcome.withdrawn_at:
        raise Refused("This was already taken back.")
    causes.withdraw_outcome(outcome, at=now)
    bench_left.tell(visit)
    trail.about_visit(visit, f"bench, taken back: {outcome.did}", by=by, now=now)
    return outcome


def _step(step_id: str) -> BankStep:
    found = next((step for step in the_bank().steps if step.id == step_id), None)
    if found is None:
        raise BadInput("The step", step_id, "a step of the bank")
    return found


def _put_down(visit: Visit, step: BankStep, *, fault: str, by: Person, now: datetime) -> BenchOutcome:
    visit = visit_for_change(visit)
    if visit.state in states.COMING:
        raise Refused(f"Visit {visit.number} is {visit.state_words}: nothing has been looked at yet.")
    if BenchOutcome.objects.filter(visit=visit, step=step.id, withdrawn_at=None).exists():
        raise Refused(f"{step.do}: this step is already done. Take it back first if that is wrong.")
    outcome = BenchOutcome.objects.create(visit=visit, step=step.id, did=step.do[:200], fault=fault, at=now, by=by)
    said = f"this was it, {fault_words(fault)}" if fault else "checked, OK"
    trail.about_visit(visit, f"bench, {step.do}: {said}", by=by, now=now)
    return outcome
