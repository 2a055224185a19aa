"""How much bench time is planned for what the bench is expected to take, and how it spreads."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from diagnostics.core.bench.spread import HIGH_SHARE, LOW_SHARE, minutes_at
from diagnostics.core.judging.judgement import BenchStep
from garage.core.time.day_minutes import rounded_up_min

LEAST_MINUTES = 15  # bringing it in and a first look; common practice, no source
# Of the machines with a fault, so many are put right within the minutes planned. Fewer, and an agreed time that follows
# waits for the bench or its person; more, and bench work that a day could do is left for the next. How it was chosen:
# DEVELOPERS.md.
PLANNED_SHARE = 0.6


@dataclass(frozen=True)
class BenchTime:
    """In whole five minutes. planned: for the plan. low, high: one machine in ten, and nine in ten, are put right by
    then; None where there is nothing to find.
    """

    planned: int
    low: int | None = None
    high: int | None = None


def bench_time(order: Sequence[BenchStep], *, expected_min: float, nothing_wrong: float) -> BenchTime:
    """order, expected_min: of the judgement. nothing_wrong: the chance of it, 0 to 1.

    >>> order = [BenchStep("plug", 10, 0.3), BenchStep("unit", 20, 0.15), BenchStep("carburettor", 60, 0.05)]
    >>> bench_time(order, expected_min=30, nothing_wrong=0.25)
    BenchTime(planned=20, low=20, high=50)
    """
    shares = (LOW_SHARE, PLANNED_SHARE, HIGH_SHARE)
    found = minutes_at(order, shares, expected_min=expected_min, nothing_wrong=nothing_wrong)
    if found is None:
        return BenchTime(booked_min(expected_min))
    low, planned, high = map(booked_min, found)
    return BenchTime(planned, low, high)


def booked_min(expected_min: float) -> int:
    """Rounded up to the planner's grid.

    >>> booked_min(3.0), booked_min(42.3)
    (15, 45)
    """
    return rounded_up_min(max(expected_min, LEAST_MINUTES))
