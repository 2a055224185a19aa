"""An owner was rung: the visit leaves the ring list, and the trail keeps what was said."""

from datetime import datetime

from django.db import transaction

from garage.changes import trail
from garage.core.errors import BadInput, Refused
from garage.models.people import Person
from garage.models.visits import Visit

LONGEST = 2000  # characters of a telephone note


@transaction.atomic
def rung(visit: Visit, *, by: Person, now: datetime, what_was_said: str) -> Visit:
    visit = Visit.objects.select_for_update().get(pk=visit.pk)
    if not visit.to_ask:
        raise Refused(f"Visit {visit.number} is not on the ring list any more.")
    if len(what_was_said) > LONGEST:
        raise BadInput("what was said", f"{len(what_was_said)} characters", f"a note of at most {LONGEST}")
    visit.rung_at, visit.to_ask = now, []
    visit.save(update_fields=["rung_at", "to_ask"])
    trail.about_visit(visit, "the owner was rung", by=by, now=now, what_was_said=what_was_said)
    return visit
