"""The service reminder that was set with a job."""

from __future__ import annotations

from datetime import date

from garage.models.visits import Visit
from garage.reads.owners import wants_no_service
from jobs.models.service import ServiceReminder


def service_of(visit: Visit) -> ServiceReminder | None:
    return ServiceReminder.objects.filter(visit=visit).select_related("by").first()


def service_on(visit: Visit) -> date | None:
    """The day to write to its owner. None if nothing was set, or the owner wants no reminders."""
    service = service_of(visit)
    return service.due_on if service and not wants_no_service(visit.owner) else None
