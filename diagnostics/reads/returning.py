"""Whether a visit is a come-back, and of which."""

from __future__ import annotations

from diagnostics.models.returning import ReturningVisit
from garage.models.visits import Visit


def returning_of(visit: Visit) -> ReturningVisit | None:
    return ReturningVisit.objects.select_related("earlier").filter(visit=visit).first()
