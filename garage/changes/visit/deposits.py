"""What was paid towards a visit's deposit, and what was given back. The money itself is booked in a higher room."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal

from django.db import transaction

from garage import events
from garage.changes import trail
from garage.changes.day import locks
from garage.changes.mail import notices
from garage.core import states
from garage.core.errors import BadInput, Refused
from garage.core.money import pounds_words
from garage.models.people import Person
from garage.models.visits import Visit
from garage.reads.shop import the_shop


@transaction.atomic
def came(visit: Visit, *, amount: Decimal, by: Person, now: datetime) -> Visit:
    """Money towards the deposit. Once the deposit is complete the visit is booked for good."""
    visit = locks.visit_for_change(visit)
    if amount <= 0:
        raise BadInput("deposit", pounds_words(amount), "an amount above 0")
    if visit.state in states.OVER:
        raise Refused(f"Visit {visit.number} is {visit.state_words}: it can't take a deposit any more.")
    visit.deposit_paid += amount
    if visit.state == states.DEPOSIT_AWAITED and visit.deposit_paid >= visit.deposit:
        visit.state = states.BOOKED
    visit.save(update_fields=["deposit_paid", "state"])
    trail.about_visit(visit, f"deposit of {pounds_words(amount)} paid", by=by, now=now)
    notices.deposit_came(visit, the_shop(), amount=amount, now=now)
    events.deposit_recorded.send(sender=Visit, visit=visit)
    return visit


@transaction.atomic
def went_back(visit: Visit, *, amount: Decimal, by: Person, now: datetime) -> Visit:
    """Money given back to the owner, usually after a cancellation. The visit's state does not change."""
    visit = locks.visit_for_change(visit)
    if not 0 < amount <= visit.deposit_paid:
        raise BadInput("deposit", pounds_words(amount), f"up to {pounds_words(visit.deposit_paid)}, the deposit paid")
    visit.deposit_paid -= amount
    visit.save(update_fields=["deposit_paid"])
    trail.about_visit(visit, f"deposit of {pounds_words(amount)} given back", by=by, now=now)
    return visit
