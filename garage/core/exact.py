"""Numbers exactly as typed: decimal limits are compared as fractions, never as binary floats."""

from __future__ import annotations

import math
from decimal import Decimal
from fractions import Fraction

from garage.core.errors import BadInput

Number = int | float | Decimal | Fraction
Bound = int | Decimal | Fraction  # no float: 0.3 as a binary float lies below the 0.3 that somebody typed


def exact(
    where: str,
    found: object,
    allowed: str,
    *,
    least: Bound | None = None,
    most: Bound | None = None,
    above: Bound | None = None,
) -> Fraction:
    """The number `found` without rounding. A float counts as the shortest decimal that reads back as the same float.

    least, most: inclusive bounds. above: an exclusive lower bound. Raises BadInput(where, found, allowed) for anything
    else: not a number, true or false, not finite, out of bounds.

    >>> exact("drift_deg", 17.9, "degrees") - exact("drift_deg", 16.9, "degrees") == 1
    True
    """
    if isinstance(found, bool) or not isinstance(found, int | float | Decimal | Fraction) or not math.isfinite(found):
        raise BadInput(where, found, allowed)
    value = Fraction(repr(float(found))) if isinstance(found, float) else Fraction(found)
    outside = (
        (least is not None and value < Fraction(least))
        or (most is not None and value > Fraction(most))
        or (above is not None and value <= Fraction(above))
    )
    if outside:
        raise BadInput(where, found, allowed)
    return value
