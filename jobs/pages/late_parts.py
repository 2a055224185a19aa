"""Parts that were ordered for work that is over: what can be done with each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from garage.models.visits import Visit
from jobs.models.book import Invoice
from jobs.models.parts import PartOrder
from jobs.reads.parts import invoices_naming


@dataclass(frozen=True)
class LateOrder:
    """invoice: that charges it already; None if none does."""

    row: PartOrder
    invoice: Invoice | None

    @property
    def visit(self) -> Visit:
        return self.row.visit


def late_orders(orders: Sequence[PartOrder]) -> list[LateOrder]:
    invoices = invoices_naming(orders)
    return [LateOrder(row, invoices.get(row.pk)) for row in orders]
