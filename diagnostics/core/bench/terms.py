"""The chance that nothing is left, as a sum over sets of steps: each set that is done adds its share.

A fault is cleared with chance 1 − Π (1 − p_k x_k) over the steps k that find it, where x_k is 1 if k is done.
Multiplied out, a set of faults is cleared with a sum over sets of steps, and the share of a set counts once all of it
is done. So the chance left after each of very many sets of steps is a plain sum, without looking at the faults.
"""

from __future__ import annotations

from functools import lru_cache
from itertools import combinations
from typing import NamedTuple

import numpy as np

from diagnostics.core.arrays import Float64s, Indices
from diagnostics.core.bench.work import Bench, Masks

TOO_UNLIKELY = 2e-4  # sets of faults that the search ignores, as a share of the chance of any fault
MOST_TERMS = 250_000
MOST_FINDERS = 5
BYTE = 8
BYTES = 1 << BYTE


class Terms(NamedTuple):
    """The terms of all sets of faults, set by set. first, many: (sets,) index of its first term and number of terms.
    share: (terms,). parts: (bytes, terms) the steps of each term, eight bits at a time."""

    first: Indices
    many: Indices
    share: Float64s
    parts: Indices


class Likely(NamedTuple):
    """The terms that count, for several cases. case, share: (terms,). cells: (bytes, terms) the steps of each term, as
    cells of tables of cases by bytes. total: (cases,) the summed weight of the sets they come from."""

    case: Indices
    share: Float64s
    cells: Indices
    total: Float64s


@lru_cache(maxsize=32)
def terms_of(bench: Bench) -> Terms:
    """If there would be too many terms, the search ignores the less useful finders of a fault."""
    for most in range(MOST_FINDERS, 0, -1):
        of_fault = [_of_fault(bench, fault, most) for fault in range(bench.leaves.shape[1])]
        if _how_many(bench, of_fault) <= MOST_TERMS:
            break
    return _multiplied_out(bench, [*of_fault, [(0, 1.0)]])


def _of_fault(bench: Bench, fault: int, most: int) -> list[tuple[int, float]]:
    """Sets of steps and their shares: 1 − Π (1 − p_k x_k), multiplied out."""
    finds = bench.finds[:, fault]
    by_use = sorted(np.flatnonzero(finds).tolist(), key=lambda step: -finds[step] / bench.minutes[step])
    surest = sorted(by_use, key=lambda step: -finds[step])[:1]
    kept = [*surest, *(step for step in by_use if step not in surest)][:most]
    terms = []
    for size in range(1, len(kept) + 1):
        terms += [
            (sum(1 << step for step in steps), -float(np.prod([-finds[step] for step in steps])))
            for steps in combinations(kept, size)
        ]
    return terms


def _how_many(bench: Bench, of_fault: list[list[tuple[int, float]]]) -> float:
    return float(np.exp(bench.has @ np.log([max(len(terms), 1) for terms in of_fault])).sum())


def _multiplied_out(bench: Bench, of_fault: list[list[tuple[int, float]]]) -> Terms:
    """The last entry of of_fault, a factor of one, fills the unused places of smaller sets."""
    members = _members(bench.has)
    count = np.array([len(terms) for terms in of_fault], dtype=np.intp)
    first = np.cumsum(count) - count
    masks = np.array([mask for terms in of_fault for mask, _ in terms], dtype=np.int64)
    shares = np.array([share for terms in of_fault for _, share in terms])
    of_set, mask, share = np.arange(len(members)), np.zeros(len(members), dtype=np.int64), np.ones(len(members))
    for slot in range(members.shape[1]):
        fault = members[of_set, slot]
        at, term = spread(first[fault], count[fault])
        of_set, mask, share = of_set[at], mask[at] | masks[term], share[at] * shares[term]
    steps = len(bench.minutes)
    both, alike = np.unique((of_set << steps) | mask, return_inverse=True)
    per_set = np.bincount(both >> steps, minlength=len(members))
    share = np.asarray(np.bincount(alike, weights=share), dtype=np.float64)
    mask = (both & ((1 << steps) - 1)).astype(np.int64)
    return Terms(np.cumsum(per_set) - per_set, per_set, share, in_bytes(mask, steps))


def _members(has: Float64s) -> Indices:
    """(sets, most at once): the faults of each set, filled up with the number of faults."""
    sets, fault = np.nonzero(has)
    size = np.bincount(sets, minlength=len(has))
    members = np.full((len(has), int(size.max(initial=0))), has.shape[1])
    members[sets, np.arange(len(sets)) - np.repeat(np.cumsum(size) - size, size)] = fault
    return members


def spread(first: Indices, count: Indices) -> tuple[Indices, Indices]:
    """For runs that begin at `first` and have `count` members: for each member the index of its run, and its own
    place."""
    run = np.repeat(np.arange(len(count)), count)
    return run, np.arange(len(run)) + (first - (np.cumsum(count) - count))[run]


def in_bytes(mask: Masks, bits: int) -> Indices:
    """(bytes, n): the masks, eight of their bits at a time."""
    return np.array([(mask >> shift) & 255 for shift in range(0, bits, BYTE)], dtype=np.intp)


def likely_terms(bench: Bench, weights: Float64s) -> Likely:
    """weights: (cases, sets)."""
    terms = terms_of(bench)
    cases, sets = weights.shape
    at: Indices = np.flatnonzero(weights > TOO_UNLIKELY * (1.0 - weights[:, :1]))
    case, which = np.divmod(at, sets)
    weight = weights.ravel()[at]
    run, term = spread(terms.first[which], terms.many[which])
    total = np.asarray(np.bincount(case, weights=weight, minlength=cases), dtype=np.float64)
    of_case = case[run]
    return Likely(of_case, terms.share[term] * weight[run], terms.parts.take(term, axis=1) + of_case * BYTES, total)
