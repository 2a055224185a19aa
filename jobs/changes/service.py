"""Service reminders: set with a job, and taken away again."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from garage.changes import trail
from garage.changes.day.locks import visit_for_change
from garage.core.errors import Refused
from garage.core.time.clock import day_in_words
from garage.models.people import Person
from garage.models.visits import Visit
from garage.reads.owners import wants_no_service
from garage.reads.shop import today
from jobs.core.service import check_service, months_after
from jobs.models.service import ServiceReminder
from jobs.reads.access import card_of


@transaction.atomic
def remind_later(
    visit: Visit, *, what: str, after_km: int | None, months: int, by: Person, now: datetime
) -> ServiceReminder:
    """Replaces what was set before."""
    visit, what = visit_for_change(visit), " ".join(what.split())
    check_service(what, after_km, months)
    if card_of(visit) is None:
        raise Refused(f"Visit {visit.number} has no card yet: there is no work to remind of.")
    if wants_no_service(visit.owner):
        raise Refused(f"{visit.owner.name} wants no service reminders.")
    due_on = months_after(today(now=now), months)
    values = {"what": what, "after_km": after_km, "due_on": due_on, "at": now, "by": by}
    service, _ = ServiceReminder.objects.update_or_create(visit=visit, defaults=values)
    said = f"set a service reminder for {day_in_words(due_on)}: {service.says}"
    trail.about_visit(visit, said, by=by, now=now)
    return service


@transaction.atomic
def remind_no_more(visit: Visit, *, by: Person, now: datetime) -> None:
    visit = visit_for_change(visit)
    if not ServiceReminder.objects.filter(visit=visit).delete()[0]:
        raise Refused("No service reminder is set.")
    trail.about_visit(visit, "took the service reminder away", by=by, now=now)
