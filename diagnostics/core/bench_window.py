"""The best order of a few steps, exactly: dynamic programming over the subsets of them that are done."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from diagnostics.core.bench_work import TINY, Begun, Work, chance_left
from diagnostics.core.inference import Floats, Whole

OVER = -1  # stands where no step can find anything more


class _Layer(NamedTuple):
    """All subsets of one size: done, (n,) bit masks; step: (n, open steps) which may follow; then: the mask after."""

    done: Whole
    step: Whole
    then: Whole


@lru_cache(maxsize=16)
def _layers(steps: int) -> tuple[_Layer, ...]:
    """Largest subsets first, the full one left out."""
    masks: list[list[int]] = [[] for _ in range(steps)]
    for mask in range(2**steps - 1):
        masks[mask.bit_count()].append(mask)
    layers = []
    for same_size in reversed(masks):
        step = np.array([[k for k in range(steps) if not mask >> k & 1] for mask in same_size])
        done = np.array(same_size)
        layers.append(_Layer(done, step, done[:, None] | (1 << step)))
    return tuple(layers)


def best_window(work: Work, begun: Begun, steps: Sequence[int]) -> list[int]:
    """The order of these steps, coming after what is begun, with the least expected minutes.

    What comes after them does not depend on their order, so it is left out of the sum. Steps that can find nothing
    more are not done, open no cover, and are put last.
    """
    leaves = _leaves_after(work, begun, steps)
    minutes = _minutes_after(work, begun, steps, leaves) * np.maximum(chance_left(work, leaves), TINY)[:, None]
    to_come = np.zeros(len(leaves))
    best_step = np.zeros(len(leaves), dtype=np.intp)
    for layer in _layers(len(steps)):
        cost = minutes[layer.done[:, None], layer.step] + to_come[layer.then]
        best = np.argmin(cost, axis=1)
        rows = np.arange(len(best))
        least = cost[rows, best]
        is_over = np.isinf(least)
        to_come[layer.done] = np.where(is_over, 0.0, least)
        best_step[layer.done] = np.where(is_over, OVER, layer.step[rows, best])
    order: list[int] = []
    done = 0
    while done < len(leaves) - 1 and (step := int(best_step[done])) != OVER:
        order.append(steps[step])
        done |= 1 << step
    return order + [step for step in steps if step not in order]


def _leaves_after(work: Work, begun: Begun, steps: Sequence[int]) -> Floats:
    """(subsets, faults): chance that each fault is left after each subset of the steps."""
    leaves = begun.leaves[None, :]
    for step in steps:
        leaves = np.vstack([leaves, leaves * work.leaves[step]])
    return leaves


def _minutes_after(work: Work, begun: Begun, steps: Sequence[int], leaves: Floats) -> Floats:
    """(subsets, steps): minutes of each step after each subset; infinite where it can find nothing more: not done."""
    minutes = np.empty((len(leaves), len(steps)))
    subsets = np.arange(len(leaves))
    for place, step in enumerate(steps):
        looks_for: NDArray[np.bool_] = work.leaves[step] < 1.0
        is_idle = np.all(leaves[:, looks_for] <= 0.0, axis=1)
        minutes[:, place] = np.where(is_idle, np.inf, work.minutes[step])
        cover = work.access[step]
        if cover >= 0 and cover not in begun.is_open:
            openers = sum(1 << other for other, behind in enumerate(steps) if work.access[behind] == cover)
            minutes[:, place] += np.where(subsets & openers == 0, work.access_minutes[cover], 0.0)
    return minutes
