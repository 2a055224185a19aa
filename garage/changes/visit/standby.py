"""An owner asks for an earlier time if one comes free, or no longer does."""

from __future__ import annotations

from collections.abc import Collection
from datetime import datetime

from django.db import transaction

from garage.changes import trail
from garage.changes.day import locks
from garage.core import states
from garage.core.errors import BadInput, Refused
from garage.core.text.languages import told
from garage.core.time.clock import WEEKDAYS
from garage.models.actors import Actor
from garage.models.standby import Standby
from garage.models.visits import Visit

LONGEST_NOTICE_HOURS = 14 * 24  # somebody who needs more books another time


@transaction.atomic
def ask(visit: Visit, *, notice_hours: int, weekdays: Collection[int], by: Actor, now: datetime) -> Standby:
    """weekdays: those that suit, 0 is Monday. Asked before, the place in the line stays and the rest is changed."""
    visit = locks.visit_for_change(visit)
    if visit.state not in states.COMING | {states.HELD}:
        raise Refused(told("This visit is {state}: it has no time to come sooner than.", state=visit.state_words))
    if not 0 <= notice_hours <= LONGEST_NOTICE_HOURS:
        raise BadInput("Notice", f"{notice_hours} hours", f"0 to {LONGEST_NOTICE_HOURS} hours")
    days = sorted({day for day in weekdays if 0 <= day < len(WEEKDAYS)})
    if not days:
        raise BadInput("Days", None, "at least one day that suits")
    values = {"notice_hours": notice_hours, "weekdays": "".join(map(str, days))}
    row, _ = Standby.objects.update_or_create(visit=visit, defaults=values, create_defaults=values | {"asked_at": now})
    words = ", ".join(WEEKDAYS[day] for day in days)
    trail.about_visit(visit, f"on standby: {notice_hours} hours' notice, {words}", by=by, now=now)
    return row


@transaction.atomic
def no_longer(visit: Visit, *, by: Actor, now: datetime) -> None:
    visit = locks.visit_for_change(visit)
    gone, _ = Standby.objects.filter(visit=visit).delete()
    if not gone:
        raise Refused(told("This visit does not stand by for an earlier time."))
    trail.about_visit(visit, "off standby", by=by, now=now)
