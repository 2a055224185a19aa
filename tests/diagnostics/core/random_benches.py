"""Small random benches, and two slow judges of their orders that share no search with the product."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from itertools import permutations

import numpy as np

from diagnostics.core.arrays import Float64s, Indices
from diagnostics.core.bench.order import expected_minutes, lay_out
from diagnostics.core.bench.search import best_orders
from diagnostics.core.bench.work import Bench, chance_left
from diagnostics.core.judging.inference import sets_of_faults

Instance = tuple[Bench, Float64s]  # and the weight of its sets of faults


def random_instance(chance: np.random.Generator, steps: int, faults: int) -> Instance:
    """Several faults likely at once; some steps see several faults, some only part of the time, some share a cover."""
    has = sets_of_faults(faults, faults)
    present = chance.uniform(0.05, 0.6, faults)
    weight = np.prod(np.where(has > 0, present, 1 - present), axis=1) * chance.uniform(0.2, 1, len(has))
    leaves = np.ones((steps, faults))
    for step in range(steps):
        leaves[step, step % faults] = chance.choice([0.0, 0.0, 0.3])
        if chance.random() < 0.3:
            leaves[step, chance.integers(faults)] = 0.0
    access = np.array([int(chance.integers(-1, 2)) for _ in range(steps)])
    return Bench(chance.uniform(5, 40, steps), access, chance.uniform(5, 25, 2), leaves, has), weight / weight.sum()


def best_steps(bench: Bench, weight: Float64s) -> list[int]:
    """Indices of the steps in the best order found by the product, without those that can find nothing more."""
    return without_idle_steps(bench, best_orders(bench, weight[None], (weight @ bench.has)[None])[0])


def without_idle_steps(bench: Bench, order: Sequence[int] | Indices) -> list[int]:
    """The order without steps all of whose faults are cleared for certain by those before them."""
    laid = lay_out(bench, np.array([order]))
    return [int(step) for step in laid.order[laid.can_find]]


def minutes_in_order(bench: Bench, order: Sequence[int]) -> list[float]:
    """Minutes of each step done in this order, 0 for a step that can find nothing more."""
    return [float(minutes) for minutes in lay_out(bench, np.array([order])).minutes[0]]


def of_every_order(bench: Bench, weight: Float64s) -> float:
    """Least expected minutes, every order tried."""
    orders = permutations(range(len(bench.minutes)))
    return min(expected_minutes(bench, weight, without_idle_steps(bench, order)) for order in orders)


def of_all_subsets(bench: Bench, weight: Float64s) -> float:
    """Least expected minutes, step by step over what is done: neither what is left nor what is open depends on the
    order in which it was done."""
    steps = range(len(bench.minutes))
    masks = np.arange(2 ** len(steps))
    done = (masks[:, None] >> np.arange(len(steps))) & 1
    leaves = np.prod(np.where(done[:, :, None] == 1, bench.leaves, 1.0), axis=1)
    left = chance_left(bench, weight, leaves).tolist()
    may_find = [np.any(leaves[:, bench.leaves[step] < 1.0] > 0.0, axis=1).tolist() for step in steps]
    behind = [sum(1 << other for other in steps if bench.access[other] == bench.access[step]) for step in steps]
    cover = [float(bench.access_minutes[at]) if at >= 0 else 0.0 for at in bench.access]

    @cache
    def least(mask: int) -> float:
        ways = [
            (float(bench.minutes[step]) + (0.0 if mask & behind[step] else cover[step])) * left[mask]
            + least(mask | 1 << step)
            for step in steps
            if not mask >> step & 1 and may_find[step][mask]
        ]
        return min(ways, default=0.0)

    return least(0)
