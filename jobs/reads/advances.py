"""Deposits as advances: which payments were taken before which paper, and the VAT that was due on them then."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from django.db.models import Exists, OuterRef, QuerySet

from garage.models.visits import Visit
from jobs.core.billing.advances import vat_of_deposit
from jobs.core.billing.invoice import NOTHING
from jobs.models.book import KeptDeposit, Payment


def advances_of(visit: Visit) -> QuerySet[Payment]:
    """Deposits taken for the visit and given back, without one that was kept when it did not come before."""
    kept = KeptDeposit.objects.filter(visit=OuterRef("visit"), at__gte=OuterRef("at"))
    return Payment.objects.filter(~Exists(kept), visit=visit, is_deposit=True)


def advance_vat(visit: Visit) -> Decimal:
    """What was due of them when they were paid."""
    return vat_of(advances_of(visit))


def vat_of(advances: Iterable[Payment]) -> Decimal:
    return sum((paid.vat or NOTHING for paid in advances), NOTHING)


def vat_of_next(visit: Visit, amount: Decimal, percent: Decimal | None) -> Decimal | None:
    """The VAT that moves with a deposit of this visit now; below 0 amount goes back. percent: None if the shop is not
    registered for VAT: what was due before then goes back all the same.
    """
    taxed = [paid for paid in advances_of(visit) if paid.vat is not None]
    held, held_vat = sum_of(paid.amount for paid in taxed), sum_of(paid.vat for paid in taxed if paid.vat)
    if percent is None and (amount > 0 or not held):
        return None
    if amount < 0 and not taxed:
        return None
    back = max(amount, -held) if amount < 0 else amount
    return vat_of_deposit(back, percent or NOTHING, held=held, held_vat=held_vat)


def sum_of(amounts: Iterable[Decimal]) -> Decimal:
    return sum(amounts, NOTHING)
