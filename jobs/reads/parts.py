"""The shop's list of parts, and what is ordered."""

from __future__ import annotations

from django.db.models import QuerySet
from django.shortcuts import get_object_or_404

from garage.models.visits import Visit
from jobs.models.parts import PartOrder, StockPart


def listed_parts() -> QuerySet[StockPart]:
    return StockPart.objects.filter(is_listed=True)


def part_or_404(part_id: int) -> StockPart:
    return get_object_or_404(listed_parts(), pk=part_id)


def waits_for(visit: Visit) -> list[PartOrder]:
    """What is ordered for it and has not come, oldest first."""
    return list(visit.part_orders.filter(came_at=None, off_at=None).select_related("by"))


def order_or_404(visit: Visit, order_id: int) -> PartOrder:
    return get_object_or_404(PartOrder.objects.select_related("visit"), visit=visit, pk=order_id)
