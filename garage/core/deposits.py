"""Deposits: until when one is awaited, when an unpaid one frees its time, what becomes of it when a visit is over."""

from __future__ import annotations

from datetime import date, datetime, timedelta

from garage.core import states
from garage.core.selling.own_changes import is_late

BACK, DECIDE = "back", "decide"
THEN_WORDS = {BACK: "goes back to the owner", DECIDE: "to be kept or given back"}
A_DAY = timedelta(days=1)


def deposit_due_on(asked_for: date, *, starts_on: date, today: date) -> date:
    """The last local day for the money. asked_for: by the shop's rule, or as agreed before the visit was moved.

    Never later than the day before the visit, so that its time could still be sold, and never a day gone by.

    >>> deposit_due_on(date(2026, 3, 9), starts_on=date(2026, 3, 7), today=date(2026, 3, 4))
    datetime.date(2026, 3, 6)
    """
    return max(min(asked_for, starts_on - A_DAY), today)


def frees_its_time_on(due_on: date | None, days_after: int | None) -> date | None:
    """The first day on which an unpaid time is free again. None: never by itself, a person decides.

    days_after: the shop's rule, 1 or more, so that somebody can ring first; None if nothing happens by itself.

    >>> frees_its_time_on(date(2026, 3, 6), 2)
    datetime.date(2026, 3, 9)
    """
    if due_on is None or days_after is None:
        return None
    return due_on + timedelta(days=days_after + 1)


def deposit_when_over(
    state: str, *, owner_asked: bool, starts_at: datetime | None, late_hours: int, now: datetime
) -> str:
    """BACK or DECIDE for a visit that has just ended without work. starts_at: the time it had; None if it had none.
    late_hours: the shop's rule.

    What the workshop calls off is given back, and so is what an owner calls off in time or before a time was agreed.
    Whether it is kept of an owner who calls off late or does not come is a person's word.
    """
    if state == states.DID_NOT_COME:
        return DECIDE
    was_late = owner_asked and starts_at is not None and is_late(starts_at, now, late_hours)
    return DECIDE if was_late else BACK
