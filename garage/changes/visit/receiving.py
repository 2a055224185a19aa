"""Receiving a machine: from now on it is in the building."""

from datetime import datetime

from django.db import transaction

from garage import events
from garage.changes import trail
from garage.changes.visit import confirming
from garage.core import states
from garage.core.errors import Refused
from garage.models.people import Person
from garage.models.visits import TakeIn, Visit

RIDDEN = "ridden"


@transaction.atomic
def take_in(
    visit: Visit,
    *,
    by: Person,
    now: datetime,
    how_it_came: str,
    key_left: bool,
    came_with: str,
    remarks: str,
    stays_overnight: bool,
) -> TakeIn:
    """The visit is here. Its check sheet closes: from arrival on the findings are the workshop's."""
    visit = Visit.objects.select_for_update().get(pk=visit.pk)
    if TakeIn.objects.filter(visit=visit).exists() and visit.state not in states.COMING:
        raise Refused(f"Visit {visit.number} has been taken in already; look at its page.")
    states.check_move(visit.state, states.HERE)
    if visit.state == states.HELD:
        confirming.came(visit, by=by, now=now)
    row, _ = TakeIn.objects.update_or_create(
        visit=visit,
        defaults={
            "at": now,
            "by": by,
            "how_it_came": how_it_came,
            "key_left": key_left,
            "came_with": came_with,
            "remarks": remarks,
            "stays_overnight": stays_overnight,
        },
    )
    visit.state, visit.arrived_at = states.HERE, now
    visit.save(update_fields=["state", "arrived_at"])
    row.visit = visit
    ridden = ", although it must not be run" if was_ridden_all_the_same(row) else ""
    trail.about_visit(visit, f"taken in, {row.get_how_it_came_display()}{ridden}", by=by, now=now)
    events.visit_arrived.send(sender=Visit, visit=visit, by=by)
    return row


def was_ridden_all_the_same(row: TakeIn) -> bool:
    """Whether it was ridden here although it must not run, as a machine that leaks petrol."""
    return row.how_it_came == RIDDEN and row.visit.is_kept_off
