"""Visits whose deposit did not come in time, and those that ended with one."""

from __future__ import annotations

from datetime import date, datetime, timedelta

from django.db.models import QuerySet

from garage.core import states
from garage.models.visits import Visit
from garage.reads.access import visits_with_names


def deposits_missed(today: date) -> QuerySet[Visit]:
    """The day for the money has passed. The nearest time first."""
    rows = visits_with_names().filter(state=states.DEPOSIT_AWAITED, deposit_due_on__lt=today)
    return rows.order_by("starts_at", "number")


def unpaid_to_free(today: date, days_after: int, *, now: datetime) -> QuerySet[Visit]:
    """Those whose time is freed by the shop's rule: nothing has come at all, and the time is still ahead."""
    missed = deposits_missed(today).filter(deposit_due_on__lt=today - timedelta(days=days_after))
    return missed.filter(deposit_paid=0, starts_at__gt=now)


def deposits_to_settle() -> QuerySet[Visit]:
    """Of visits that are over: to be given back, or to be decided upon."""
    return visits_with_names().exclude(deposit_then="").filter(deposit_paid__gt=0).order_by("number")
