"""A much wider search for the bench's order: the judge of the quick one where trying every order is out of reach."""

from __future__ import annotations

import numpy as np

from diagnostics.core.bench_order import expected_minutes, without_idle_steps
from diagnostics.core.bench_window import best_window
from diagnostics.core.bench_work import Work, begun_after

LIKELIEST_SETS = 400
SWEEPS = 12


def wide_search(work: Work, order: list[int], window: int = 10) -> list[int]:
    """Windows of ten steps, each put in its best order set by set, and every step tried at every place, before and
    after its own, until neither gains anything. It starts from `order`, so it can never be worse."""
    kept = np.argsort(-work.weight, kind="stable")[:LIKELIEST_SETS]
    some = Work(work.minutes, work.access, work.access_minutes, work.leaves, work.has[kept], work.weight[kept])
    order = [*order, *(step for step in range(len(work.minutes)) if step not in order)]
    best = order
    for _ in range(SWEEPS):
        before = expected_minutes(some, best)
        best = _moved(some, _windows(some, best, window))
        if expected_minutes(some, best) > before - 1e-6:
            break
    found = [without_idle_steps(work, tried) for tried in (order, best)]
    return min(found, key=lambda tried: expected_minutes(work, tried))


def _windows(work: Work, order: list[int], window: int) -> list[int]:
    for first in range(0, max(1, len(order) - window + window // 2), window // 2):
        kept = without_idle_steps(work, order)
        tried = kept + [step for step in order if step not in kept]
        inside = tried[first : first + window]
        tried[first : first + window] = best_window(work, begun_after(work, tried[:first]), inside)
        order = min(order, tried, key=lambda one: expected_minutes(work, one))
    return order


def _moved(work: Work, order: list[int]) -> list[int]:
    least = expected_minutes(work, order)
    for step in list(order):
        rest = [other for other in order if other != step]
        tried = [[*rest[:place], step, *rest[place:]] for place in range(len(order))]
        minutes = [expected_minutes(work, one) for one in tried]
        if min(minutes) < least - 1e-9:
            least, order = min(minutes), tried[int(np.argmin(minutes))]
    return order
