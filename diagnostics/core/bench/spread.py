"""How the minutes of bench work spread, read off the judgement's bench order.

Each step finds a share of the machines with a fault, as large as its `finds`, at the minute at which it ends. Those
minutes are then stretched or shrunk together, so that their mean is the judgement's own: its expected minutes (which
count a sound machine as none) over the chance that something is wrong. So what is done only once a test has shown its
fault makes nothing longer than it is. Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence

from diagnostics.core.judging.judgement import BenchStep

LOW_SHARE, HIGH_SHARE = 0.1, 0.9  # of the machines with a fault; common practice, no source
TINY = 1e-9  # so that shares that add up to nine tenths count as nine tenths


def minutes_at(
    order: Sequence[BenchStep], shares: Sequence[float], *, expected_min: float, nothing_wrong: float
) -> list[float] | None:
    """The minutes by which each of these shares of the machines with a fault is put right. None if there is nothing to
    find.

    order, expected_min: of the judgement. nothing_wrong: the chance of it, 0 to 1. shares: 0 to 1.

    >>> order = [BenchStep("plug", 10, 0.3), BenchStep("unit", 20, 0.15), BenchStep("carburettor", 60, 0.05)]
    >>> [round(minute, 1) for minute in minutes_at(order, (0.1, 0.9), expected_min=30, nothing_wrong=0.25)]
    [16.7, 50.0]

    (Shares 0.6, 0.3 and 0.1 at 10, 30 and 90 minutes have a mean of 24; it should be 30 / 0.75 = 40.)
    """
    found = sum(step.finds for step in order)
    if found <= 0 or expected_min <= 0 or nothing_wrong >= 1:
        return None
    ends, reached, minute, share = [], [], 0.0, 0.0
    for step in order:
        minute, share = minute + step.minutes, share + step.finds / found
        ends.append(minute)
        reached.append(share)
    mean = sum(end * step.finds / found for end, step in zip(ends, order, strict=True))
    if mean <= 0:
        return None
    stretch = expected_min / (1 - nothing_wrong) / mean
    by_share = list(zip(ends, reached, strict=True))
    return [next(end for end, share in by_share if share >= wanted - TINY) * stretch for wanted in shares]
