"""The sums at the foot of an invoice, draft or frozen, and what is left to pay."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from jobs.core.billing.invoice import EXEMPT, NOTHING, Totals


@dataclass(frozen=True)
class RateSum:
    """The sums at one VAT rate and category (invoice.VatCategory), in whole pence. percent: as printed."""

    percent: str
    net: Decimal
    vat: Decimal
    category: str

    @property
    def gross(self) -> Decimal:
        return self.net + self.vat

    @property
    def is_exempt(self) -> bool:
        return self.category == EXEMPT


@dataclass(frozen=True)
class InvoiceSums:
    """net + vat = gross, whole pence. rates: highest first; empty for a shop that is not registered. deposit_vat: what
    was due of the deposit the day it was paid.
    """

    net: Decimal
    vat: Decimal
    gross: Decimal
    deposit: Decimal
    rates: tuple[RateSum, ...]
    deposit_vat: Decimal = NOTHING

    @property
    def left(self) -> Decimal:
        """Before any payment."""
        return left_to_pay(self.gross, self.deposit)


def sums_of(totals: Totals) -> InvoiceSums:
    """The sums of an invoice not issued yet."""
    rates = tuple(RateSum(str(rate.percent), rate.net, rate.vat, rate.category) for rate in totals.by_rate)
    return InvoiceSums(totals.net, totals.vat, totals.gross, totals.deposit, rates)


def left_to_pay(gross: Decimal, deposit: Decimal, payments: Iterable[Decimal] = ()) -> Decimal:
    """Pounds left to pay. Below 0 is owed back, as when the deposit was larger than the invoice.

    payments: against the invoice; refunds are below 0.

    >>> left_to_pay(Decimal("100.00"), Decimal("30.00"), [Decimal("50.00"), Decimal("-5.00")])
    Decimal('25.00')
    """
    return gross - deposit - sum(payments, NOTHING)
