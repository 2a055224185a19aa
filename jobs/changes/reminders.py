"""Reminders: what is due for a visit is written once, whoever looks and however often."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from garage.changes import trail
from garage.changes.day import locks
from garage.changes.mail import worded
from garage.core.mail.reminders import due_reminders
from garage.core.mail.wording import WORDED
from garage.models.actors import SYSTEM
from garage.models.reminders import Reminded
from garage.models.visits import Visit
from garage.output.speaking import speaking
from garage.reads.shop import the_shop
from garage.reads.wordings import switched_off
from jobs.reads.reminders import may_be_reminded, remindable, rules_of
from jobs.reads.worded_values import more_values


def remind_all(*, now: datetime) -> None:
    """Looks without a lock first: most visits have nothing due."""
    shop, off = the_shop(), switched_off()
    for visit in may_be_reminded(shop, now=now):
        due = due_reminders(remindable(visit), now=now, rules=rules_of(shop))
        if any(reminder.what not in off for reminder in due):
            remind(visit, now=now)


@transaction.atomic
def remind(visit: Visit, *, now: datetime) -> None:
    """Asked again behind the visit's lock: a second worker finds it reminded, or moved, or called off."""
    visit, shop, off = locks.visit_for_change(visit), the_shop(), switched_off()
    known = remindable(visit)
    for reminder in due_reminders(known, now=now, rules=rules_of(shop)):
        if reminder.what in off:
            continue
        _, is_new = Reminded.objects.get_or_create(
            visit=visit, what=reminder.what, about=reminder.about, defaults={"at": now}
        )
        if is_new:
            with speaking(visit.owner.language):
                more = more_values(visit, sheet=known.sheet)
            worded.write_worded(reminder.what, visit, shop, more=more, now=now)
            trail.about_visit(visit, f"reminded: {WORDED[reminder.what].title.lower()}", by=SYSTEM, now=now)
