"""What is fitted to a machine now. A closed card sets it, and the garage only stores it."""

from collections.abc import Mapping
from datetime import datetime

from django.db import transaction

from garage.changes import trail
from garage.models.owners import Machine
from garage.models.people import Person
from garage.models.visits import Visit


def now_fitted(visit: Visit, parts: Mapping[str, str], *, by: Person, now: datetime) -> None:
    """parts: from place to what is fitted there now, as {"main jet": "98"}. Other places stay unchanged."""
    if not parts:
        return
    with transaction.atomic():
        machine = Machine.objects.select_for_update().get(pk=visit.machine_id)
        machine.fitted = machine.fitted | dict(parts)
        machine.save(update_fields=["fitted"])
        said = ", ".join(f"{place} {what}" for place, what in parts.items())
        trail.about_visit(visit, f"fitted to the machine now: {said}", by=by, now=now)
