"""What was sent in for a visit goes some time after it is over: sheet, words, clips, photos. What was found and done to
the machine stays.
"""

from __future__ import annotations

from collections import Counter
from contextlib import suppress
from datetime import datetime

from django.db import transaction

from garage import events
from garage.changes import trail
from garage.changes.day.locks import visit_for_change
from garage.changes.visit import photos
from garage.core import states
from garage.core.errors import Refused
from garage.core.keeping.counts import counted
from garage.core.keeping.periods import SHEETS
from garage.models.actors import SYSTEM
from garage.models.standby import Standby
from garage.models.visits import TakeIn, Visit
from garage.reads.keeping import over_since

MOST_AT_ONCE = 200  # visits; the rest goes with the next sweep, so that no sweep holds the worker for long


def forget_old(*, now: datetime) -> Counter[str]:
    """A visit each in a transaction of its own, so that it may be stopped and run again. What of it is still worked on
    stays until that is done.
    """
    gone: Counter[str] = Counter()
    for visit in over_since(SHEETS.before(now)):
        with suppress(Refused):
            gone += forget(visit, now=now)
        if gone["visits"] >= MOST_AT_ONCE:
            break
    if gone:
        did = f"let go what was sent in {SHEETS.words} ago and before: {counted(gone)}"
        trail.wrote(did=did, about="the shop", by=SYSTEM, now=now)
    return gone


@transaction.atomic
def forget(visit: Visit, *, now: datetime) -> Counter[str]:
    """What went, by kind. Refused while the visit is open, or its card."""
    visit = visit_for_change(visit)
    if visit.state not in states.OVER:
        raise Refused(f"Visit {visit.number} is {visit.state_words}: nothing of it goes before it is over.")
    if visit.forgotten_at:
        return Counter()
    gone = Counter({"visits": 1})
    for _, counts in events.visit_forgotten.send(sender=Visit, visit=visit):
        gone.update(counts)
    gone["photos"] += photos.forget(visit)
    Standby.objects.filter(visit=visit).delete()
    TakeIn.objects.filter(visit=visit).update(came_with="", remarks="")
    visit.wants, visit.owner_remarks, visit.to_ask, visit.called_off_why = "", [], [], ""
    visit.forgotten_at = now
    visit.save(update_fields=["wants", "owner_remarks", "to_ask", "called_off_why", "forgotten_at"])
    return gone
