"""What was paid towards a visit's deposit, until when it is awaited, and what becomes of it. The money itself is booked
in a higher room.
"""

from __future__ import annotations

from datetime import date, datetime, timedelta
from decimal import Decimal

from django.db import transaction

from garage import events
from garage.changes import trail
from garage.changes.day import locks
from garage.changes.mail import notices
from garage.core import states
from garage.core.deposits import deposit_due_on, deposit_when_over
from garage.core.errors import BadInput, Refused
from garage.core.money import pounds_words
from garage.core.time.clock import day_in_words
from garage.models.people import Person
from garage.models.shop import Shop
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
    _settled_if_nothing_is_left(visit)
    trail.about_visit(visit, f"deposit of {pounds_words(amount)} given back", by=by, now=now)
    return visit


@transaction.atomic
def was_kept(visit: Visit, *, why: str, by: Person, now: datetime) -> Visit:
    """It is the shop's income now, with a paper of its own, and no longer the owner's money."""
    visit = locks.visit_for_change(visit)
    amount, visit.deposit_paid = visit.deposit_paid, Decimal(0)
    _settled_if_nothing_is_left(visit)
    trail.about_visit(visit, f"deposit of {pounds_words(amount)} kept: {why}", by=by, now=now)
    return visit


def _settled_if_nothing_is_left(visit: Visit) -> None:
    if not visit.deposit_paid:
        visit.deposit_then = ""
    visit.save(update_fields=["deposit_paid", "deposit_then"])


@transaction.atomic
def wait_until(visit: Visit, *, day: date, by: Person, now: datetime) -> Visit:
    """The owner was rung and promised it: the visit leaves the ring list until that day has passed."""
    visit, shop = locks.visit_for_change(visit), the_shop()
    if visit.state != states.DEPOSIT_AWAITED or visit.starts_at is None:
        raise Refused(f"Visit {visit.number} is {visit.state_words}: no deposit is awaited.")
    today, starts_on = shop.local_time.day(now), shop.local_time.day(visit.starts_at)
    if not today <= day <= starts_on:
        raise BadInput("Day", f"{day}", f"a day from today to {day_in_words(starts_on)}, the day of the visit")
    visit.deposit_due_on = day
    visit.save(update_fields=["deposit_due_on"])
    trail.about_visit(visit, f"the deposit is awaited until {day_in_words(day)}", by=by, now=now)
    return visit


def await_it(visit: Visit, shop: Shop, *, now: datetime) -> None:
    """Inside a change that has given the visit a time: the last day for its deposit, if one is awaited."""
    if visit.state != states.DEPOSIT_AWAITED or visit.starts_at is None:
        return
    visit.deposit_due_on = awaited_until(visit.starts_at, shop, agreed=visit.deposit_due_on, now=now)
    visit.save(update_fields=["deposit_due_on"])


def awaited_until(starts_at: datetime, shop: Shop, *, agreed: date | None = None, now: datetime) -> date:
    """The last local day for the deposit of a visit at that time. agreed: the day said before, if any."""
    today = shop.local_time.day(now)
    asked_for = agreed or today + timedelta(days=shop.deposit_days)
    return deposit_due_on(asked_for, starts_on=shop.local_time.day(starts_at), today=today)


def end_with(visit: Visit, shop: Shop, *, owner_asked: bool, had: datetime | None, now: datetime) -> None:
    """Inside a change that has ended the visit without work. had: the time that was given back."""
    if visit.deposit_paid:
        late_hours = shop.late_hours
        visit.deposit_then = deposit_when_over(
            visit.state, owner_asked=owner_asked, starts_at=had, late_hours=late_hours, now=now
        )
        visit.save(update_fields=["deposit_then"])


def go_on_with(visit: Visit) -> None:
    """Inside a change that books a visit again: what was paid counts, and what was not is asked for anew."""
    visit.deposit_due_on, visit.deposit_then = None, ""
    visit.save(update_fields=["deposit_due_on", "deposit_then"])
