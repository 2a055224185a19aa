"""The VAT of a period by both schemes, so that the bookkeeper takes the one that the garage uses."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from garage.core.time.local_time import LocalTime
from jobs.core.billing.invoice import EXEMPT, NOTHING
from jobs.core.book.papers import RateSums
from jobs.core.book.vat import accrual, cash, summed
from jobs.reads.book_facts import book_facts


@dataclass(frozen=True)
class SchemeSums:
    """One scheme's sums of the period."""

    words: str
    help_words: str
    rates: list[RateSums]

    @property
    def net(self) -> Decimal:
        return sum((rate.net for rate in self.rates), NOTHING)

    @property
    def vat(self) -> Decimal:
        return sum((rate.vat for rate in self.rates), NOTHING)


@dataclass(frozen=True)
class VatPage:
    """first, last: local days, both included. advances: deposits of the period that were due the day they were paid."""

    first: date
    last: date
    schemes: tuple[SchemeSums, ...]
    advances_net: Decimal
    advances_vat: Decimal
    exempt_category: str = EXEMPT


def vat_page(first: date, last: date, local: LocalTime) -> VatPage:
    facts = book_facts(local)
    in_period = [paid for paid in facts.payments if paid.vat is not None and first <= paid.on <= last]
    vat = sum((paid.vat for paid in in_period if paid.vat is not None), NOTHING)
    by_papers = summed(accrual(facts.papers, facts.payments), first, last)
    by_money = summed(cash(facts.papers, facts.payments), first, last)
    schemes = (
        SchemeSums("Accrual", "By the tax point of each paper.", by_papers),
        SchemeSums("Cash accounting", "As money came in and went back.", by_money),
    )
    return VatPage(first, last, schemes, sum((paid.amount for paid in in_period), NOTHING) - vat, vat)
