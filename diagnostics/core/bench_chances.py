"""The chance that a fault is left on the bench, quicker than set by set: exactly for the minutes that are told, and
about, by pairs of faults alone, while an order is sought.

The chance that none is left is a sum over the sets of faults of products of the faults' chances to be cleared, so a
polynomial that is linear in each of these.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations, pairwise
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from diagnostics.core.inference import Floats, Whole

TOO_UNLIKELY = 3e-5  # sets of faults that a search passes over
AT_ONCE = 4  # faults up to which the exact sum is written out


@dataclass(frozen=True, eq=False)
class Pairs:
    """some, several: the chance of one fault or more, and of two or more; single: (faults,), pair: (faults, faults) how
    much the first falls as faults are cleared, each by itself and with each other."""

    some: float
    several: float
    single: Floats
    pair: Floats

    def left(self, leaves: Floats) -> Floats:
        """(n,): about the chance that a fault is left, as `chance_left` of bench_work."""
        cleared = 1.0 - leaves
        return np.asarray(self.some - np.einsum("nf,nf->n", cleared, self.single + cleared @ self.pair))


def in_pairs(has: Floats, weight: Floats) -> Pairs:
    """Sets of more than two faults shared out over their pairs and single faults.

    The minutes until n faults are cleared, the longest of n times, are taken for a mean over the pairs' longer times
    and the single times. Its two shares, 6 / (n (n + 1)) and (4 − 2 n) / (n (n + 1)), are right for times all alike
    and for times at even distances; for one fault and for two nothing is changed.
    """
    likely: NDArray[np.intp] = np.flatnonzero(weight > TOO_UNLIKELY)
    held, share = has.take(likely, axis=0), weight.take(likely)
    size = held @ np.ones(held.shape[1])
    each = share / np.maximum(size * (size + 1.0), 1.0)
    pair = (held.T * (3.0 * each)) @ held
    np.fill_diagonal(pair, 0.0)
    return Pairs(float(share @ (size > 0)), float(share @ (size > 1)), ((4.0 - 2.0 * size) * each) @ held, pair)


class _Places(NamedTuple):
    """Where the sets of two, three and four faults stand: in the order of `sets_of_faults`, and in flat tables of a
    pair by a fault and of a pair by a pair."""

    first: Whole
    second: Whole
    in_twos: slice
    in_threes: slice
    in_fours: slice
    three_at: Whole
    four_at: Whole


@lru_cache(maxsize=8)
def _places(faults: int) -> _Places:
    pairs = list(combinations(range(faults), 2))
    at = {pair: place for place, pair in enumerate(pairs)}
    three_at = [at[f, g] * faults + h for f, g, h in combinations(range(faults), 3)]
    four_at = [at[f, g] * len(pairs) + at[h, i] for f, g, h, i in combinations(range(faults), 4)]
    first, second = np.array(pairs, dtype=np.intp).reshape(-1, 2).T
    ends = np.cumsum([1 + faults, len(pairs), len(three_at), len(four_at)]).tolist()
    twos, threes, fours = (slice(begin, end) for begin, end in pairwise(ends))
    return _Places(
        first, second, twos, threes, fours, np.array(three_at, dtype=np.intp), np.array(four_at, dtype=np.intp)
    )


def exactly_left(weight: Floats, leaves: Floats) -> Floats:
    """(n,): `chance_left` of bench_work, for all sets of at most one to four faults.

    weight: (sets,) in the order of `sets_of_faults`. Threes and fours are taken as a pair and what is with it, so that
    a sum over thousands of sets is a product of matrices. All terms are positive, nothing cancels.
    """
    places = _places(leaves.shape[1])
    cleared = 1.0 - leaves
    is_live: NDArray[np.bool_] = np.any(cleared, axis=0)  # pairs that nothing clears have no part in the sum
    live = np.flatnonzero(is_live[places.first] & is_live[places.second])
    pair = cleared.take(places.first[live], axis=1) * cleared.take(places.second[live], axis=1)
    none_left = weight[0] + cleared @ weight[1 : leaves.shape[1] + 1]
    twos, threes, fours = weight[places.in_twos], weight[places.in_threes], weight[places.in_fours]
    if len(twos):
        none_left += pair @ twos[live]
    if len(threes):
        three = _spread(threes, places.three_at, len(places.first), leaves.shape[1])[live]
        none_left += np.einsum("nf,nf->n", cleared, pair @ three)
    if len(fours):
        four = _spread(fours, places.four_at, len(places.first), len(places.first))
        if len(live) < len(four):
            four = four.take(live, axis=0).take(live, axis=1)
        none_left += np.einsum("np,np->n", pair, pair @ four)
    return np.asarray(np.maximum(weight.sum() - none_left, 0.0))


def _spread(values: Floats, at: Whole, rows: int, columns: int) -> Floats:
    table = np.zeros(rows * columns)
    table[at] = values
    return table.reshape(rows, columns)
