"""What the owner says that take-in must know before the machine is touched."""

from collections.abc import Sequence
from datetime import datetime

from django.db import transaction

from garage.changes import trail
from garage.changes.day.locks import visit_for_change
from garage.models.actors import Actor
from garage.models.visits import Visit


@transaction.atomic
def now_stand(visit: Visit, *, remarks: Sequence[str], by: Actor, now: datetime) -> Visit:
    """Replaces all remarks, in plain words. by: the owner, or who wrote it down or put it right."""
    visit = visit_for_change(visit)
    visit.owner_remarks = list(remarks)
    visit.save(update_fields=["owner_remarks"])
    said = ", ".join(remarks).lower() or "none"
    trail.about_visit(visit, f"remarks for take-in: {said}", by=by, now=now)
    return visit
