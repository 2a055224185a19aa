"""Ways to go through the places of an order, as a lattice of what has been done: states, and moves between them.

There are two kinds. In a window, a place may be taken once every place a window's width or more before it has been
taken (Balas and Simonetti 2001: exponentially many orders, searched in time linear in the places). A window over all
places allows every order. Chains keep their own order but may interleave in any way. In both kinds the union and the
intersection of two states are states too, so a sum over all states within a state is a sum along moves.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import lru_cache
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from diagnostics.core.arrays import Float64s, Indices
from diagnostics.core.bench.work import Masks


class Lattice(NamedTuple):
    """done: (states,) the places taken, fewest first. state, place, then: (moves,) the state before each move, the
    place it takes, and the state after. options: (most, states) the moves from each state, filled up with the number
    of moves. layers: states by number of places taken. by_place: the moves that take each place. key: from places to
    the key of the smallest state that holds them all; state_of: from key to state. is_full: whether every order is
    allowed.
    """

    done: Masks
    state: Indices
    place: Indices
    then: Indices
    options: Indices
    layers: tuple[tuple[slice, Indices, Indices], ...]
    by_place: tuple[tuple[Indices, Indices], ...]
    state_of: Indices
    key: Callable[[Masks], Masks]
    is_full: bool

    def sums(self, case: Indices, places: Masks, share: Float64s, cases: int) -> Float64s:
        """(states, cases): for each case, the sum of the shares of all terms whose places are taken."""
        at = (self.state_of * cases).take(self.key(places))
        at += case
        alone = np.bincount(at, weights=share, minlength=len(self.done) * cases)
        total = np.asarray(alone, dtype=np.float64).reshape(-1, cases)
        for then, state in self.by_place:
            more = total.take(state, axis=0)
            more += total.take(then, axis=0)
            total[then] = more
        return total


@lru_cache(maxsize=64)
def window(places: int, width: int) -> Lattice:
    width = min(width, places)

    def may(done: int) -> Iterable[int]:
        first = _first_bit(~done)
        return [place for place in range(first, min(places, first + width)) if not done >> place & 1]

    def key(taken: Masks) -> Masks:
        before = np.maximum(_length(taken) - width, 0)
        return (before << width) | (taken >> before)

    return _lattice(places, may, key, is_full=width == places)


@lru_cache(maxsize=64)
def chains(sizes: tuple[int, ...]) -> Lattice:
    """The chains follow each other, each with as many places as its size."""
    begins = np.cumsum([0, *sizes]).tolist()
    each = [((1 << size) - 1) << begin for begin, size in zip(begins, sizes, strict=False)]
    strides = np.cumprod([1, *(size + 1 for size in sizes)]).tolist()

    def may(done: int) -> Iterable[int]:
        return [_first_bit(~done & mask) for mask in each if ~done & mask]

    def key(taken: Masks) -> Masks:
        lengths = [_length((taken & mask) >> begin) for mask, begin in zip(each, begins, strict=False)]
        return np.asarray(sum(length * stride for length, stride in zip(lengths, strides, strict=False)))

    return _lattice(begins[-1], may, key, is_full=max(sizes) <= 1)


def _first_bit(mask: int) -> int:
    return (mask & -mask).bit_length() - 1


def _length(mask: Masks) -> Masks:
    """Number of bits, as int.bit_length."""
    return np.frexp(mask.astype(np.float64))[1]


def _lattice(
    places: int, may: Callable[[int], Iterable[int]], key: Callable[[Masks], Masks], *, is_full: bool
) -> Lattice:
    by_number = [[0]]
    for _ in range(places):
        by_number.append(sorted({done | 1 << place for done in by_number[-1] for place in may(done)}))
    states = [done for layer in by_number for done in layer]
    index = {done: at for at, done in enumerate(states)}
    moves = [(at, place, index[done | 1 << place]) for at, done in enumerate(states) for place in may(done)]
    state, place, then = np.array(moves, dtype=np.intp).reshape(-1, 3).T.copy()
    count = np.bincount(state, minlength=len(states))
    options = np.full((int(count.max(initial=1)), len(states)), len(moves))
    options[np.arange(len(moves)) - np.repeat(np.cumsum(count) - count, count), state] = np.arange(len(moves))
    ends = np.cumsum([0, *map(len, by_number)]).tolist()
    done, after = np.array(states, dtype=np.int64), np.append(then, 0)
    keys = key(done)
    state_of = np.zeros(int(keys.max()) + 1, dtype=np.intp)
    state_of[keys] = np.arange(len(states))
    return Lattice(
        done, state, place, then, options,
        tuple((slice(a, b), options[:, a:b].copy(), after[options[:, a:b]]) for a, b in pairwise(ends[:-1])),
        tuple((then[place == one], state[place == one]) for one in range(places)),
        state_of, key, is_full,
    )  # fmt: skip
