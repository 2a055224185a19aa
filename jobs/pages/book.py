"""The book: invoices, payments, what is still to pay, and VAT by rate."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from garage.core.time.local_time import LocalTime
from garage.models.visits import Visit
from garage.reads.deposits import deposits_to_settle
from jobs.core.billing.invoice import NOTHING
from jobs.core.billing.sums import RateSum
from jobs.models.book import Invoice, Payment
from jobs.reads.book import Owed, came_in, deposits_held, frozen_rates, issued, unpaid


@dataclass(frozen=True)
class BookPage:
    """Invoices and payments from local day first to last. unpaid, deposits_held and to_settle: as of now, whatever the
    period.
    """

    first: date
    last: date
    invoices: list[Owed]
    payments: list[Payment]
    net: Decimal
    vat: Decimal
    gross: Decimal
    rates: list[RateSum]
    came_in: Decimal
    came_in_by: list[tuple[str, Decimal]]
    unpaid: list[Owed]
    unpaid_sum: Decimal
    deposits_held: Decimal
    to_settle: list[Visit]  # over, and its deposit neither given back nor kept


def book_page(first: date, last: date, local: LocalTime) -> BookPage:
    rows = issued(first, last)
    invoices = [row.invoice for row in rows]
    payments = came_in(*local.bounds(first, last))
    owed = unpaid()
    return BookPage(
        first=first,
        last=last,
        invoices=rows,
        payments=payments,
        net=_sum(invoice.net for invoice in invoices),
        vat=_sum(invoice.vat for invoice in invoices),
        gross=_sum(invoice.gross for invoice in invoices),
        rates=_rates(invoices),
        came_in=_sum(payment.amount for payment in payments),
        came_in_by=_came_in_by(payments),
        unpaid=owed,
        unpaid_sum=_sum(row.left for row in owed),
        deposits_held=deposits_held(),
        to_settle=list(deposits_to_settle()),
    )


def _sum(amounts: Iterable[Decimal]) -> Decimal:
    return sum(amounts, NOTHING)


def _rates(invoices: Iterable[Invoice]) -> list[RateSum]:
    """Sums of the figures on the invoices, with no further rounding."""
    net: dict[tuple[str, str], Decimal] = defaultdict(lambda: NOTHING)
    vat: dict[tuple[str, str], Decimal] = defaultdict(lambda: NOTHING)
    for invoice in invoices:
        for rate in frozen_rates(invoice):
            net[rate.percent, rate.category] += rate.net
            vat[rate.percent, rate.category] += rate.vat
    highest_first = sorted(net, key=lambda each: (-Decimal(each[0]), each[1]))
    return [RateSum(each[0], net[each], vat[each], each[1]) for each in highest_first]


def _came_in_by(payments: Iterable[Payment]) -> list[tuple[str, Decimal]]:
    sums: dict[str, Decimal] = defaultdict(lambda: NOTHING)
    for payment in payments:
        sums[payment.get_how_display()] += payment.amount
    return sorted(sums.items())
