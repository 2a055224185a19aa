"""The sums at the foot of an invoice, one that is to be made or one that is frozen, and what is left to pay of it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from jobs.core.invoice import NOTHING, Totals


@dataclass(frozen=True)
class RateSum:
    """What was invoiced at one VAT rate. percent: as it is printed. Whole pence."""

    percent: str
    net: Decimal
    vat: Decimal

    @property
    def gross(self) -> Decimal:
        return self.net + self.vat


@dataclass(frozen=True)
class InvoiceSums:
    """net + vat = gross, whole pence. rates: highest first; empty for a shop that is not registered."""

    net: Decimal
    vat: Decimal
    gross: Decimal
    deposit: Decimal
    rates: tuple[RateSum, ...]

    @property
    def left(self) -> Decimal:
        """Before any payment."""
        return left_to_pay(self.gross, self.deposit)


def sums_of(totals: Totals) -> InvoiceSums:
    """Of an invoice that is to be made."""
    rates = tuple(RateSum(str(rate.percent), rate.net, rate.vat) for rate in totals.by_rate)
    return InvoiceSums(totals.net, totals.vat, totals.gross, totals.deposit, rates)


def left_to_pay(gross: Decimal, deposit: Decimal, payments: Iterable[Decimal] = ()) -> Decimal:
    """Pounds. Below nothing: to be given back, as a deposit larger than the invoice leaves it.

    payments: against the invoice, what was given back of them below nothing.

    >>> left_to_pay(Decimal("100.00"), Decimal("30.00"), [Decimal("50.00"), Decimal("-5.00")])
    Decimal('25.00')
    """
    return gross - deposit - sum(payments, NOTHING)
