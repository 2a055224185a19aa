"""What the book is made of, as plain values. Open this file first.

journal.py    every paper and payment as entries in double entry, always balanced
vat.py        the VAT of a period: by tax point (accrual) and as money moves (cash accounting)
ageing.py     how long what is owed has been due
csv_file.py   the journal as a file

All amounts are pounds in whole pence. A credit note is a paper with its sums below 0 that names what it corrects. A
deposit is money paid before its paper; with a registered shop VAT is due on it then, and the paper takes it off again.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from jobs.core.billing.invoice import NOTHING

LATEST_AFTER_SUPPLY = timedelta(days=14)  # an invoice within them sets the tax point (HMRC Notice 700, 14.2)


@dataclass(frozen=True)
class RateSums:
    """Net and VAT at one rate. percent: as printed; category: invoice.VatCategory."""

    percent: str
    category: str
    net: Decimal
    vat: Decimal


@dataclass(frozen=True)
class PaperFacts:
    """An invoice, or a credit note (corrects: the number of the invoice). deposit: taken off it; advanced: what of it
    was due for VAT the day it was paid. rates: empty if the shop was not registered for VAT: net is then gross.
    """

    number: int
    issued_on: date
    supplied_on: date
    net: Decimal
    vat: Decimal
    rates: tuple[RateSums, ...]
    deposit: Decimal
    advanced: tuple[RateSums, ...] = ()
    corrects: int | None = None

    @property
    def gross(self) -> Decimal:
        return self.net + self.vat

    @property
    def deposit_vat(self) -> Decimal:
        return sum((each.vat for each in self.advanced), NOTHING)

    @property
    def tax_point(self) -> date:
        """The day on which its VAT is due. A credit note counts on its own day."""
        return self.issued_on if self.corrects is not None else tax_point(self.issued_on, self.supplied_on)


def tax_point(issued_on: date, supplied_on: date) -> date:
    """The day on which an invoice's VAT is due: its own if it was issued by the fourteenth day after the work was
    finished, else that of the work.

    Source: VAT Act 1994 section 6(5), HMRC Notice 700 section 14; from memory.

    >>> tax_point(date(2026, 3, 10), date(2026, 2, 24)), tax_point(date(2026, 3, 10), date(2026, 2, 23))
    (datetime.date(2026, 3, 10), datetime.date(2026, 2, 23))
    """
    is_in_time = supplied_on <= issued_on <= supplied_on + LATEST_AFTER_SUPPLY
    return issued_on if is_in_time else supplied_on


@dataclass(frozen=True)
class PaymentFacts:
    """Money in, or back below 0. paper: the number of the invoice or credit note that it was paid against; None of a
    deposit. vat: of a deposit, due the day it was paid, at percent; None if none was due then.
    """

    on: date
    amount: Decimal
    how: str
    paper: int | None
    about: str
    vat: Decimal | None = None
    percent: str = ""


def settling(paper: PaperFacts) -> int:
    """The number of the invoice on which it counts: its own, or the one that it corrects."""
    return paper.number if paper.corrects is None else paper.corrects


def by_invoice(papers: Sequence[PaperFacts]) -> dict[int, list[PaperFacts]]:
    """Each invoice with its credit notes, by the invoice's number."""
    together: dict[int, list[PaperFacts]] = {}
    for paper in papers:
        together.setdefault(settling(paper), []).append(paper)
    return together
