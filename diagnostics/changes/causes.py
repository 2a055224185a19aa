"""What was wrong in the end: causes confirmed or withdrawn, and what was checked and OK."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from diagnostics.changes import bench_left
from diagnostics.models.bench import BenchOutcome
from diagnostics.models.causes import Cause
from diagnostics.reads.bank import the_bank
from diagnostics.reads.causes import cause_words, fault_words
from garage.changes import trail
from garage.changes.day.locks import visit_for_change
from garage.core import states
from garage.core.errors import BadInput, Refused
from garage.models.people import Person
from garage.models.visits import Visit

LONGEST = 160  # characters of a cause in the mechanic's own words


@transaction.atomic
def confirm(visit: Visit, *, by: Person, now: datetime, fault: str = "", words: str = "") -> Cause:
    """fault: one of the bank's; words: the mechanic's own, as well or instead."""
    return _put_down(visit, by=by, now=now, fault=fault, words=words, found_good=False)


@transaction.atomic
def looked_good(visit: Visit, *, by: Person, now: datetime, fault: str = "", words: str = "") -> Cause:
    """Checked and OK, so this was not it."""
    return _put_down(visit, by=by, now=now, fault=fault, words=words, found_good=True)


@transaction.atomic
def withdraw(cause: Cause, *, by: Person, now: datetime) -> Cause:
    """The row is kept but no longer counts. If a bench step entered it, the whole outcome is taken back."""
    visit = visit_for_change(cause.visit)
    cause = Cause.objects.select_related("outcome").get(pk=cause.pk)
    if cause.withdrawn_at:
        raise Refused("This was already withdrawn.")
    cause.withdrawn_at = now
    cause.save(update_fields=["withdrawn_at"])
    if cause.outcome:
        withdraw_outcome(cause.outcome, at=cause.withdrawn_at)
    bench_left.tell(visit)
    with_it = f", and with it what the bench did: {cause.outcome.did}" if cause.outcome else ""
    trail.about_visit(visit, f"withdrawn: {cause_words(cause)}{with_it}", by=by, now=now)
    return cause


def withdraw_outcome(outcome: BenchOutcome, *, at: datetime) -> None:
    """Withdraws the outcome and the causes entered with it. Call it inside a change that has locked the visit."""
    outcome.withdrawn_at = at
    outcome.save(update_fields=["withdrawn_at"])
    outcome.causes.filter(withdrawn_at=None).update(withdrawn_at=at)


def came_with(outcome: BenchOutcome, *, fault: str, found_good: bool) -> None:
    """Enters what the outcome of a step says about a fault. Call it inside a change that has locked the visit.

    Raises Refused if the fault was checked and OK and is now said to be the cause. If the fault already has a row, no
    second one is made, and a cause is never turned into checked and OK.
    """
    standing = Cause.objects.filter(visit=outcome.visit, fault=fault, withdrawn_at=None)
    if not found_good and standing.filter(found_good=True).exists():
        raise Refused(
            f"This is already entered as “checked, OK”: {fault_words(fault)}. Withdraw that first if it is wrong."
        )
    if not standing.exists():
        Cause.objects.create(
            visit=outcome.visit, fault=fault, found_good=found_good, outcome=outcome, at=outcome.at, by=outcome.by
        )


def _put_down(visit: Visit, *, by: Person, now: datetime, fault: str, words: str, found_good: bool) -> Cause:
    visit = visit_for_change(visit)
    words = words.strip()
    if visit.state in states.COMING:
        raise Refused(f"Visit {visit.number} is {visit.state_words}: nothing has been looked at yet.")
    if fault and fault not in the_bank().fault_ids:
        raise BadInput("The cause", fault, "a fault from the list, or your own words")
    if not fault and not words:
        raise BadInput("The cause", None, "a fault from the list, or your own words")
    if len(words) > LONGEST:
        raise BadInput("The cause", f"{len(words)} characters", f"at most {LONGEST} characters")
    same = Cause.objects.filter(visit=visit, fault=fault, words=words, withdrawn_at=None)
    if same.exists():
        raise Refused("This is already entered. Withdraw it first if it is wrong.")
    cause = Cause.objects.create(visit=visit, fault=fault, words=words, found_good=found_good, at=now, by=by)
    bench_left.tell(visit)
    trail.about_visit(visit, f"{'checked, OK' if found_good else 'cause'}: {cause_words(cause)}", by=by, now=now)
    return cause
