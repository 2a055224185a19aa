"""The best order of a few steps, exactly: dynamic programming over the subsets of them that are done."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache, partial
from typing import NamedTuple

import numpy as np

from diagnostics.core.bench_work import TINY, Begun, LeftOf, Work, chance_left
from diagnostics.core.inference import Floats, Whole


class _Layer(NamedTuple):
    """Subsets of one size, a slice of all by size: cell, (n, open steps) where the cost of each step that may follow
    stands in the flat table of subsets and steps; then: the place of the subset after it."""

    subsets: slice
    cell: Whole
    then: Whole


class _Lattice(NamedTuple):
    """mask: (subsets,) the subsets by size as bit masks; place: mask to its place; layers: largest first, all but the
    full set."""

    mask: Whole
    place: Whole
    layers: tuple[_Layer, ...]


@lru_cache(maxsize=16)
def _lattice(steps: int) -> _Lattice:
    mask = np.array(sorted(range(2**steps), key=lambda bits: (bits.bit_count(), bits)))
    place = np.argsort(mask)
    layers, first = [], 0
    while first < len(mask) - 1:
        same_size = [bits for bits in mask.tolist() if bits.bit_count() == int(mask[first]).bit_count()]
        step = np.array([[k for k in range(steps) if not bits >> k & 1] for bits in same_size])
        subsets = np.arange(first, first + len(same_size))
        then = place[np.array(same_size)[:, None] | (1 << step)]
        layers.append(_Layer(slice(first, first + len(same_size)), subsets[:, None] * steps + step, then))
        first += len(same_size)
    return _Lattice(mask, place, tuple(reversed(layers)))


def best_window(work: Work, begun: Begun, steps: Sequence[int], left: LeftOf | None = None) -> list[int]:
    """The order of these steps, coming after what is begun, with the least expected minutes.

    What comes after them does not depend on their order, so it is left out of the sum. Steps that can find nothing
    more are not done, open no cover, and are put last. left: the chance that a fault is left, `chance_left` where it
    is not given.
    """
    lattice = _lattice(len(steps))
    cost = _cost(work, begun, steps, lattice, left or partial(chance_left, work))
    to_come = np.zeros(len(cost))
    flat = cost.ravel()
    for layer in lattice.layers:
        least = (flat.take(layer.cell) + to_come.take(layer.then)).min(axis=1)
        least[np.isinf(least)] = 0.0
        to_come[layer.subsets] = least
    return _in_order(steps, lattice, cost, to_come)


def _in_order(steps: Sequence[int], lattice: _Lattice, cost: Floats, to_come: Floats) -> list[int]:
    done = 0
    order: list[int] = []
    places = range(len(steps))
    while True:
        at = lattice.place[done]
        options = [
            (cost[at, k] + to_come[lattice.place[done | 1 << k]], k)
            for k in places
            if not done >> k & 1 and cost[at, k] < np.inf
        ]
        if not options:
            return order + [step for step in steps if step not in order]
        _, best = min(options)
        order.append(steps[best])
        done |= 1 << best


def _cost(work: Work, begun: Begun, steps: Sequence[int], lattice: _Lattice, left: LeftOf) -> Floats:
    """(subsets, steps): expected minutes of each step after each subset; infinite where it can find nothing more."""
    leaves = np.empty((len(lattice.mask), work.leaves.shape[1]))
    leaves[0] = begun.leaves
    for place, step in enumerate(steps):
        np.multiply(leaves[: 1 << place], work.leaves[step], out=leaves[1 << place : 2 << place])
    leaves = leaves.take(lattice.mask, axis=0)
    can_find = leaves @ work.facts.looks[list(steps)].T > 0.0
    minutes = np.where(can_find, work.minutes[list(steps)], np.inf)
    for cover in {work.access[step] for step in steps} - begun.is_open - {-1}:
        behind = np.array([work.access[step] == cover for step in steps])
        is_on = lattice.mask & int(behind @ (1 << np.arange(len(steps)))) == 0
        minutes += np.outer(is_on, behind * work.access_minutes[cover])
    return np.asarray(minutes * np.maximum(left(leaves), TINY)[:, None])
