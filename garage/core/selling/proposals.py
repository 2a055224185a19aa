"""Which of the free times are proposed: the soonest, of which no two overlap."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta


def soonest_apart(times: Iterable[datetime], minutes: int, count: int) -> list[datetime]:
    """times: in order. minutes: how long each would last. At most so many.

    >>> nine = datetime(2026, 11, 23, 9)
    >>> [f"{at:%H:%M}" for at in soonest_apart([nine + timedelta(minutes=15 * n) for n in range(9)], 45, 2)]
    ['09:00', '09:45']
    """
    chosen: list[datetime] = []
    for at in times:
        if len(chosen) == count:
            break
        if not chosen or at >= chosen[-1] + timedelta(minutes=minutes):
            chosen.append(at)
    return chosen
