"""The exact chance that a fault is left on the bench, over all sets of at most four faults and many cases at once.

The chance that none is left is a sum over the sets of faults. Each term is a product of the chances that its faults
are cleared, so the sum is a polynomial that is linear in each of these chances. A set is split into its two highest
faults and the lower ones with them, so that a sum over thousands of sets becomes a few matrix products. All terms are
positive, so nothing cancels.
"""

from __future__ import annotations

from functools import lru_cache
from itertools import combinations
from typing import NamedTuple

import numpy as np

from diagnostics.core.arrays import Float64s, Indices
from diagnostics.core.bench.work import Bench, chance_left

AT_ONCE = 4  # most faults at once for which the sum is written out
BLOCKS = 4
PAIR = 2
FEW_CASES = 8  # cases summed at once: more do not fit the processor's caches


class _Block(NamedTuple):
    """pairs: a slice of all pairs. cells: (with them, pairs) the index of each set's weight, or one past the end if
    there is no such set."""

    pairs: slice
    cells: Indices


class _Places(NamedTuple):
    """high, low: (pairs,) the two faults of each pair, sorted by the lower. one, other: (with them,) the lower faults
    that may come with a pair: none, one or two; the number of faults stands for none."""

    high: Indices
    low: Indices
    one: Indices
    other: Indices
    blocks: tuple[_Block, ...]


@lru_cache(maxsize=8)
def _places(faults: int, at_once: int) -> _Places:
    sets = [held for size in range(at_once + 1) for held in combinations(range(faults), size)]
    index = {held: at for at, held in enumerate(sets)}
    pairs = sorted(combinations(range(faults), 2))  # sorted by the lower fault, which comes first
    smaller = [(faults, faults)]
    if at_once > PAIR:
        more = at_once > PAIR + 1
        smaller += [(one, other) for one in range(faults) for other in (faults, *range(one if more else 0))]
    blocks = []
    ends = np.searchsorted([low for low, _ in pairs], _ends(faults)).tolist()
    for begin, end in zip([0, *ends[:-1]], ends, strict=True):
        inside = pairs[begin:end]
        if inside:
            lower = inside[-1][0]
            wide = sum(one < lower or one == faults for one, _ in smaller)
            cells = [
                [
                    index.get(tuple(sorted({*pair, one, other} - {faults})), len(sets))
                    if one < pair[0] or one == faults
                    else len(sets)
                    for pair in inside
                ]
                for one, other in smaller[:wide]
            ]
            blocks.append(_Block(slice(begin, end), np.array(cells, dtype=np.intp)))
    low, high = np.array(pairs, dtype=np.intp).reshape(-1, 2).T
    one, other = np.array(smaller, dtype=np.intp).T
    return _Places(high, low, one, other, tuple(blocks))


def _ends(faults: int) -> list[int]:
    """The lower fault at which each block of pairs ends. Later pairs have more with them, so their blocks are small."""
    return [-(-faults * part // (2 * BLOCKS)) for part in range(BLOCKS, 2 * BLOCKS)] + [faults]


def chances_left(bench: Bench, weights: Float64s, leaves: Float64s) -> Float64s:
    """(cases, n): chance that a fault is left. weights: (cases, sets); leaves: (cases, n, faults), the chance that each
    fault is left if it was there, or (1, n, faults) for all cases alike."""
    if not 1 <= bench.at_once <= AT_ONCE:
        every = np.broadcast_to(leaves, (len(weights), *leaves.shape[1:]))
        return np.array([chance_left(bench, *case) for case in zip(weights, every, strict=True)])
    some = [slice(first, first + FEW_CASES) for first in range(0, len(weights), FEW_CASES)]
    return np.concatenate(
        [exactly_left(weights[few], leaves[few] if len(leaves) > 1 else leaves, bench.at_once) for few in some]
    )


def exactly_left(weights: Float64s, leaves: Float64s, at_once: int) -> Float64s:
    """(cases, n): `chances_left` for sets of at most at_once faults, where at_once is four or less.

    weights: (cases, sets) in the order of `sets_of_faults`; leaves: (cases or 1, n, faults). Each case has its own
    matrix products, so that it gives the same bits alone and among others.
    """
    faults = leaves.shape[2]
    places = _places(faults, at_once)
    cleared = np.concatenate([1.0 - leaves, np.ones((*leaves.shape[:2], 1))], axis=2)
    single = weights[:, 1 : 1 + faults, None]
    none_left = weights[:, :1] + np.matmul(cleared[:, :, : single.shape[1]], single)[:, :, 0]
    if at_once > 1:
        padded = np.concatenate([weights, np.zeros((len(weights), 1))], axis=1)
        smaller = cleared.take(places.one, axis=2)
        smaller *= cleared.take(places.other, axis=2)
        pair = cleared.take(places.high, axis=2)
        pair *= cleared.take(places.low, axis=2)
        for inside, cells in places.blocks:
            with_pair = np.matmul(smaller[:, :, : len(cells)], padded.take(cells, axis=1))
            with_pair *= pair[:, :, inside]
            none_left += with_pair.sum(axis=2)
    return np.asarray(np.maximum(weights.sum(axis=1, keepdims=True) - none_left, 0.0))
