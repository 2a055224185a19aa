"""What labour is charged: minutes in tenths of an hour, rounded as the shop has set. Common practice, no source."""

from __future__ import annotations

from decimal import Decimal

from garage.core.errors import BadInput
from garage.core.text.languages import told_later

CHARGED_STEPS_MINUTES = (3, 6, 12, 15, 30, 60)  # each gives hours with two decimals
CHARGED_STEP_MINUTES = 6  # a tenth of an hour; common practice, no source
DOWN, NEAREST, UP = ROUNDINGS = ("down", "nearest", "up")
ROUNDED = {
    DOWN: told_later("rounded down"),
    NEAREST: told_later("rounded to the nearest"),
    UP: told_later("rounded up"),
}


def chargeable_minutes(worked: int, step: int = CHARGED_STEP_MINUTES, rounding: str = DOWN) -> int:
    """Minutes to charge, in whole steps.

    worked: minutes, 0 or more. step: 3, 6, 12, 15, 30 or 60 minutes; the shop charges tenths of an hour. rounding: by
    the shop's rule, down, up or to the nearest; exactly half a step goes down, in the owner's favour. Common practice,
    no source. Raises BadInput if one of them is out of range.

    >>> chargeable_minutes(50), chargeable_minutes(50, rounding=NEAREST), chargeable_minutes(50, rounding=UP)
    (48, 48, 54)
    """
    if rounding not in ROUNDINGS:
        raise BadInput("rounding", rounding, "down, nearest or up")
    if step not in CHARGED_STEPS_MINUTES:
        raise BadInput("step", step, "3, 6, 12, 15, 30 or 60 minutes")
    if worked < 0:
        raise BadInput("minutes", worked, "0 or more")
    added = {DOWN: 0, NEAREST: (step - 1) // 2, UP: step - 1}[rounding]
    return (worked + added) // step * step


def hours(minutes: int) -> Decimal:
    """Minutes as hours with exactly two decimals, for an invoice line. Raises BadInput unless a multiple of 3.

    >>> hours(36)
    Decimal('0.60')
    """
    if minutes % 3:
        raise BadInput("minutes", minutes, "a multiple of 3: hours then have two decimals")
    return (Decimal(minutes) / 60).quantize(Decimal("0.01"))
