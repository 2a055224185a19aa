"""An owner is rung. With what was said the visit leaves the ring list; if nobody answers it stays there."""

from datetime import datetime

from django.db import transaction

from garage.changes import trail
from garage.core.errors import BadInput, Refused
from garage.models.people import Person
from garage.models.visits import Visit
from garage.reads.routed import NOBODY_ANSWERED

LONGEST = 2000  # characters of a telephone note
SAY_WHAT_WAS_SAID = "Write down what was said, or tap “Nobody answered”: then it stays on the list."


@transaction.atomic
def rung(visit: Visit, *, by: Person, now: datetime, what_was_said: str) -> Visit:
    """The trail keeps what was said."""
    visit, said = _on_the_list(visit), what_was_said.strip()
    if not said:
        raise Refused(SAY_WHAT_WAS_SAID)
    if len(said) > LONGEST:
        raise BadInput("What was said", f"{len(said)} characters", f"a note of at most {LONGEST}")
    visit.rung_at, visit.to_ask = now, []
    visit.save(update_fields=["rung_at", "to_ask"])
    trail.about_visit(visit, "the owner was rung", by=by, now=now, what_was_said=said)
    return visit


@transaction.atomic
def nobody_answered(visit: Visit, *, by: Person, now: datetime) -> None:
    """The visit stays on the list, which then says when it was last tried."""
    trail.about_visit(_on_the_list(visit), NOBODY_ANSWERED, by=by, now=now)


def not_answered_since(visit: Visit, since: datetime | None) -> None:
    """Within a change, behind the visit's lock: its owner was asked something then, and must be rung. None: not, or not
    any more.
    """
    Visit.objects.filter(pk=visit.pk).update(asked_since=since)


def _on_the_list(visit: Visit) -> Visit:
    visit = Visit.objects.select_for_update().get(pk=visit.pk)
    if not visit.to_ask:
        raise Refused(f"Visit {visit.number} is not on the ring list any more.")
    return visit
