"""The visits that belong to a day of the workshop: by their time, or since something of them was done on it."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime

from django.db.models import Prefetch, Q, QuerySet

from garage.core import states
from garage.core.planning.day_rules import DayAt
from garage.core.time.local_time import LocalTime
from garage.models.visits import Step, Visit
from garage.reads.day_problem import steps_with_people

NOT_EXPECTED = frozenset({states.CALLED_OFF, states.DID_NOT_COME})


def visits_between(first: date, last: date, local: LocalTime, *, now: datetime) -> QuerySet[Visit]:
    """Every visit that belongs to one of these local days, inclusive. Their work to be planned is among it."""
    begin, end = local.bounds(first, last)
    belongs = Q(starts_at__gte=begin, starts_at__lt=end) & ~Q(state__in=NOT_EXPECTED)
    for field in ("arrived_at", "collected_at"):
        belongs |= Q(**{f"{field}__gte": begin, f"{field}__lt": end})
    belongs |= Q(pk__in=Step.objects.filter(began_at__gte=begin, began_at__lt=end).values("visit"))
    if first <= local.day(now) <= last:
        belongs |= Q(state__in=states.IN_THE_BUILDING) | Q(state__in=states.OPEN, arrived_at__isnull=False)
    rows = Visit.objects.filter(belongs).select_related("owner", "machine", "kind")
    return rows.prefetch_related(Prefetch("steps", queryset=steps_with_people())).order_by("starts_at", "number")


def belonging(visits: Iterable[Visit], seen: DayAt) -> list[Visit]:
    """Those of the visits of some days that belong to this one. Today also those in the building."""
    return [visit for visit in visits if _belongs(visit, seen)]


def _belongs(visit: Visit, seen: DayAt) -> bool:
    return (
        (seen.has(visit.starts_at) and visit.state not in NOT_EXPECTED)
        or seen.has(visit.arrived_at)
        or seen.has(visit.collected_at)
        or any(seen.has(step.began_at) for step in visit.steps.all())
        or (seen.has(seen.now) and _is_here(visit))
    )


def _is_here(visit: Visit) -> bool:
    """In the building, also one that is to be put right there and has no time yet."""
    return visit.state in states.IN_THE_BUILDING or (visit.state in states.OPEN and visit.arrived_at is not None)
