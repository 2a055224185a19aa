"""Who owes what, and for how long."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from jobs.core.billing.invoice import NOTHING
from jobs.core.book.ageing import Aged, aged, band_of
from jobs.reads.book import Owed, unpaid


@dataclass(frozen=True)
class OwedRow:
    owed: Owed
    band: str


@dataclass(frozen=True)
class OwedPage:
    """rows: the longest due first. due_days: to pay, from the day of the invoice. to_refund: below 0, in no band."""

    rows: list[OwedRow]
    bands: list[Aged]
    due_days: int
    owed_sum: Decimal
    to_refund: Decimal


def owed_page(today: date, due_days: int) -> OwedPage:
    rows = sorted(unpaid(), key=lambda row: (row.invoice.issued_on, row.invoice.number))
    due = [row for row in rows if row.left > 0]
    return OwedPage(
        rows=[OwedRow(row, band_of(row.invoice.issued_on, due_days=due_days, today=today)) for row in rows],
        bands=aged([(row.invoice.issued_on, row.left) for row in due], due_days=due_days, today=today),
        due_days=due_days,
        owed_sum=sum((row.left for row in due), NOTHING),
        to_refund=sum((row.left for row in rows if row.left < 0), NOTHING),
    )
