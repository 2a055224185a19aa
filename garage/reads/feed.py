"""The rows behind a calendar: steps with their machines, what was done, plans accepted."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection
from datetime import date, datetime

from django.db.models import Q, QuerySet

from garage.models.people import Person
from garage.models.plans import AcceptedPlan
from garage.models.shop import Station
from garage.models.visits import Step


def steps_of(visit_numbers: Collection[int]) -> QuerySet[Step]:
    return _steps().filter(visit__number__in=visit_numbers)


def done_by(whose: Person | Station, since: datetime, until: datetime) -> list[Step]:
    """Work that this person did, or that was done at this station, begun within these instants and over."""
    at_station = Q(at=whose.kind, station=whose.number) if isinstance(whose, Station) else Q(by=whose)
    rows = _steps().filter(at_station, began_at__gte=since, began_at__lt=until, ended_at__isnull=False)
    return list(rows.order_by("began_at", "pk"))


def accepted_between(first: date, last: date) -> dict[date, list[AcceptedPlan]]:
    """Every plan accepted for these days, in order, by day."""
    out: dict[date, list[AcceptedPlan]] = defaultdict(list)
    for row in AcceptedPlan.objects.filter(day__range=(first, last)).order_by("number"):
        out[row.day].append(row)
    return out


def _steps() -> QuerySet[Step]:
    return Step.objects.select_related("visit__machine")
