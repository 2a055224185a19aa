"""What bench work may cost the owner, from and to, along the judgement's bench order.

The rule: of the machines like this that have a fault, one in ten is put right by the lower figure and nine in ten by
the higher one. How the minutes spread: spread.py.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from math import ceil, floor

from diagnostics.core.bench.booked import LEAST_MINUTES
from diagnostics.core.bench.spread import HIGH_SHARE, LOW_SHARE, minutes_at
from diagnostics.core.judging.judgement import BenchStep
from garage.core.charged_time import chargeable_minutes, hours

ROUND_POUNDS = 5  # an estimate to the penny would promise too much; common practice, no source


@dataclass(frozen=True)
class BenchPrice:
    """What the shop charges for bench work, and when it asks.

    labour_per_hour: pounds, VAT included. rounding: of labour to tenths of an hour. covered_min: minutes of labour that
    the booked price covers, 0 for the rollers. limit_pounds: up to this nobody asks the owner again. is_agreed: whether
    the owner agreed to that limit, or it is the shop's.
    """

    labour_per_hour: Decimal
    rounding: str
    covered_min: int
    limit_pounds: int
    is_agreed: bool


@dataclass(frozen=True)
class BenchCost:
    """low, high: pounds, VAT included and parts extra, in whole five pounds, besides what the booked price covers."""

    low: Decimal
    high: Decimal
    price: BenchPrice


def bench_cost(
    order: Sequence[BenchStep], *, expected_min: float, nothing_wrong: float, price: BenchPrice
) -> BenchCost | None:
    """None if there is nothing to find, or the shop has no price for labour.

    order, expected_min: of the judgement. nothing_wrong: the chance of it, 0 to 1.

    >>> order = [BenchStep("plug", 10, 0.3), BenchStep("unit", 20, 0.15), BenchStep("carburettor", 60, 0.05)]
    >>> price = BenchPrice(Decimal(54), "down", covered_min=0, limit_pounds=120, is_agreed=False)
    >>> cost = bench_cost(order, expected_min=30, nothing_wrong=0.25, price=price)
    >>> int(cost.low), int(cost.high)
    (10, 45)

    (Shares 0.6, 0.3 and 0.1 at 10, 30 and 90 minutes have a mean of 24; it should be 30 / 0.75 = 40. So 16.7 and 50
    minutes, charged as 12 and 48: £10.80 and £43.20.)
    """
    minutes = minutes_at(order, (LOW_SHARE, HIGH_SHARE), expected_min=expected_min, nothing_wrong=nothing_wrong)
    if minutes is None or price.labour_per_hour <= 0:
        return None
    low, high = (max(LEAST_MINUTES, each) for each in minutes)
    return BenchCost(
        low=_in_whole_fives(_pounds(floor(low), price), ROUND_FLOOR),
        high=_in_whole_fives(_pounds(ceil(high), price), ROUND_CEILING),
        price=price,
    )


def _pounds(minutes: int, price: BenchPrice) -> Decimal:
    charged = chargeable_minutes(max(0, minutes - price.covered_min), rounding=price.rounding)
    return hours(charged) * price.labour_per_hour


def _in_whole_fives(pounds: Decimal, rounding: str) -> Decimal:
    return (pounds / ROUND_POUNDS).to_integral_value(rounding) * ROUND_POUNDS
