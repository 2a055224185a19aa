"""The shop's list of parts, and what is ordered."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from django.db.models import Q, QuerySet
from django.shortcuts import get_object_or_404

from garage.core import states
from garage.models.visits import Visit
from jobs.models.book import Invoice
from jobs.models.parts import PartOrder, StockPart
from jobs.reads.access import invoices_for_work


def listed_parts() -> QuerySet[StockPart]:
    return StockPart.objects.filter(is_listed=True)


def part_or_404(part_id: int) -> StockPart:
    return get_object_or_404(listed_parts(), pk=part_id)


def waits_for(visit: Visit) -> list[PartOrder]:
    """What is ordered for it and has not come, oldest first."""
    return list(visit.part_orders.filter(came_at=None, off_at=None).select_related("by"))


LEFT_OVER = Q(visit__card__closed_at__isnull=False) | Q(visit__state__in=states.OVER)  # no card takes it any more


def left_over() -> list[PartOrder]:
    """Ordered for work that is over by now, and neither come nor ordered off; oldest first."""
    rows = PartOrder.objects.filter(LEFT_OVER, came_at=None, off_at=None)
    return list(rows.select_related("by", "visit__machine", "visit__card"))


def is_left_over(order: PartOrder) -> bool:
    return PartOrder.objects.filter(LEFT_OVER, pk=order.pk).exists()


def invoices_naming(orders: Sequence[PartOrder]) -> dict[int, Invoice]:
    """By the order's id: the invoice of its visit with a line of the same words."""
    found = invoices_for_work().filter(visit__in={order.visit_id for order in orders}).prefetch_related("lines")
    named: dict[int | None, dict[str, Invoice]] = defaultdict(dict)
    for invoice in found if orders else ():
        named[invoice.visit_id] |= {line.words.casefold(): invoice for line in invoice.lines.all()}
    said = ((order.pk, named[order.visit_id].get(order.words.casefold())) for order in orders)
    return {order_id: invoice for order_id, invoice in said if invoice}


def order_or_404(visit: Visit, order_id: int) -> PartOrder:
    return get_object_or_404(PartOrder.objects.select_related("visit"), visit=visit, pk=order_id)
