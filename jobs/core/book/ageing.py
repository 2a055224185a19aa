"""How long what is owed has been due."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from jobs.core.billing.invoice import NOTHING

BANDS = ("not due yet", "1 to 30 days", "31 to 60 days", "61 to 90 days", "over 90 days")
_LAST_DAYS = (0, 30, 60, 90)


@dataclass(frozen=True)
class Aged:
    """band: one of BANDS. left: pounds still owed in it, refunds taken off."""

    band: str
    left: Decimal


def band_of(issued_on: date, *, due_days: int, today: date) -> str:
    """due_days: to pay, from the day of the invoice: on the last of them it is not overdue yet.

    >>> band_of(date(2026, 3, 1), due_days=14, today=date(2026, 3, 15))
    'not due yet'
    >>> band_of(date(2026, 3, 1), due_days=14, today=date(2026, 3, 16))
    '1 to 30 days'
    """
    over = (today - issued_on - timedelta(days=due_days)).days
    return next((band for band, last in zip(BANDS, _LAST_DAYS, strict=False) if over <= last), BANDS[-1])


def aged(owed: Iterable[tuple[date, Decimal]], *, due_days: int, today: date) -> list[Aged]:
    """All bands in their order. owed: when each invoice was issued, and what is left of it."""
    sums = dict.fromkeys(BANDS, NOTHING)
    for issued_on, left in owed:
        sums[band_of(issued_on, due_days=due_days, today=today)] += left
    return [Aged(band, left) for band, left in sums.items()]
