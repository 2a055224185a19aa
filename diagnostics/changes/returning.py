"""A visit is a come-back of an earlier one, or is not; what closing its card said of the earlier cause."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from diagnostics.changes import learning
from diagnostics.models.returning import ReturningVisit
from diagnostics.reads.learning import closings_now
from diagnostics.reads.returning import returning_of
from garage.changes import trail
from garage.changes.day.locks import visit_for_change
from garage.core import states
from garage.core.errors import BadInput, Refused
from garage.models.people import Person
from garage.models.visits import Visit

LONGEST_WHY = 200  # characters


@transaction.atomic
def comes_back(visit: Visit, *, earlier: Visit, by: Person, now: datetime) -> ReturningVisit:
    """From now on nothing is charged for it, and closing its card asks for the earlier cause again."""
    visit = visit_for_change(visit)
    _check_may_change(visit)
    is_before = earlier.machine_id == visit.machine_id and earlier.number < visit.number
    if not is_before or not closings_now().filter(visit=earlier).exists():
        raise Refused(f"Visit {earlier.number} is no earlier visit of this machine with a closed card.")
    if row := returning_of(visit):
        raise Refused(f"Visit {visit.number} is a come-back of visit {row.earlier.number} already.")
    trail.about_visit(visit, f"a come-back of visit {earlier.number}: not charged", by=by, now=now)
    return ReturningVisit.objects.create(visit=visit, earlier=earlier, at=now, by=by)


@transaction.atomic
def does_not_come_back(visit: Visit, *, by: Person, now: datetime) -> None:
    """It is a visit like any other, and charged."""
    visit = visit_for_change(visit)
    _check_may_change(visit)
    row = _row(visit)
    row.delete()
    trail.about_visit(visit, f"no come-back of visit {row.earlier.number} after all", by=by, now=now)


@transaction.atomic
def is_charged(visit: Visit, *, why: str, by: Person, now: datetime) -> ReturningVisit:
    """A come-back that is charged after all. A higher room has looked that it is not invoiced yet."""
    visit, why = visit_for_change(visit), why.strip()
    row = _row(visit)
    if not why or len(why) > LONGEST_WHY:
        raise BadInput("Why", why or None, f"why a come-back is charged, in at most {LONGEST_WHY} characters")
    row.charged_why = why
    row.save(update_fields=["charged_why"])
    trail.about_visit(visit, f"a come-back, charged after all: {why}", by=by, now=now)
    return row


@transaction.atomic
def is_not_charged(visit: Visit, *, by: Person, now: datetime) -> ReturningVisit:
    """As is_charged, taken back."""
    visit = visit_for_change(visit)
    row = _row(visit)
    row.charged_why = ""
    row.save(update_fields=["charged_why"])
    trail.about_visit(visit, "a come-back, not charged", by=by, now=now)
    return row


def earlier_locked(visit: Visit) -> ReturningVisit | None:
    """Inside a change that closes its card: the earlier visit's row is locked first, as visits are everywhere locked in
    the order of their numbers.
    """
    row = returning_of(visit)
    if row is not None:
        row.earlier = visit_for_change(row.earlier)
    return row


def answered(row: ReturningVisit, *, was_it_again: bool, by: Person, now: datetime) -> None:
    """Inside a change that closes its card. If it was that again, the earlier card is no longer learned from."""
    is_marked = closings_now().filter(visit=row.earlier, back_since__isnull=False).exists()
    if was_it_again and not is_marked:
        learning.came_back(row.earlier, by=by, now=now)
    elif row.was_it_again and not was_it_again and is_marked:  # closed again, and said otherwise
        learning.did_not_come_back(row.earlier, by=by, now=now)
    row.was_it_again = was_it_again
    row.save(update_fields=["was_it_again"])


def _row(visit: Visit) -> ReturningVisit:
    row = returning_of(visit)
    if row is None:
        raise Refused(f"Visit {visit.number} is not a come-back.")
    return row


def _check_may_change(visit: Visit) -> None:
    if visit.state in (states.CALLED_OFF, states.DID_NOT_COME):
        raise Refused(f"Visit {visit.number} is {visit.state_words}: it is no come-back.")
    if closings_now().filter(visit=visit).exists():
        raise Refused(f"The card of visit {visit.number} is closed: whether it is a come-back is said before that.")
