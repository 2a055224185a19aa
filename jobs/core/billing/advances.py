"""The VAT of a deposit, due the day it is paid."""

from __future__ import annotations

from decimal import Decimal

from garage.core.money import to_penny, vat_in
from jobs.core.billing.invoice import NOTHING


def vat_of_deposit(amount: Decimal, percent: Decimal, *, held: Decimal, held_vat: Decimal) -> Decimal:
    """What VAT moves with this deposit. Below 0 amount is given back, with the share of VAT that is in what is held.

    amount: pounds. held, held_vat: of this visit before, as far as VAT was due on it. In several payments it comes to
    the VAT of their sum, and all given back to nothing.

    >>> first = vat_of_deposit(Decimal("0.99"), Decimal(20), held=Decimal("0.00"), held_vat=Decimal("0.00"))
    >>> first, vat_of_deposit(Decimal("0.99"), Decimal(20), held=Decimal("0.99"), held_vat=first)
    (Decimal('0.17'), Decimal('0.16'))
    """
    if amount >= 0:
        return vat_in(held + amount, percent) - held_vat
    if not held:
        return NOTHING
    left = max(held + amount, NOTHING)
    return to_penny(held_vat * left / held) - held_vat
