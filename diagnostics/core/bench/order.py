"""The best order of tests and repairs on the bench: fewest expected minutes until no fault is left.

Decision-theoretic troubleshooting (Heckerman, Breese and Rommelse, Communications of the ACM 1995). Sorting by chance
per minute is optimal only for a single fault and independent actions (Kadane and Simon 1977). With several faults, and
with steps that share a cover, it can be several per cent too slow. So that order is only the start of a search
(search.py), which is exact for few steps. The minutes and chances given for the order found are always exact.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from diagnostics.core.arrays import Bools, Float64s, Indices
from diagnostics.core.bank.bank import Bank
from diagnostics.core.bench.chances import chances_left
from diagnostics.core.bench.search import best_orders
from diagnostics.core.bench.work import Bench, bench_of, chance_left
from diagnostics.core.judging.inference import Model, fault_chances
from diagnostics.core.judging.judgement import BenchStep

SOME_CASES = 64  # cases searched at once: more do not fit the processor's caches


BestOrder = tuple[tuple[BenchStep, ...], float]


def bench_order(model: Model, weight: Float64s, chances: Float64s | None = None) -> BestOrder:
    """Steps in the best order found, and the expected minutes until no fault is left (none for a sound machine).

    weight: (sets,) chance of each set, adding up to 1; chances: (faults,) the resulting chance of each fault, if known.
    A step that can find nothing after those before it is left out. Those that remain can clear every fault.
    """
    of_faults = fault_chances(model, weight) if chances is None else chances
    return bench_orders(model, weight[None], of_faults[None])[0]


def bench_orders(model: Model, weights: Float64s, chances: Float64s) -> list[BestOrder]:
    """`bench_order` for many cases, about ten times quicker: weights (cases, sets), chances (cases, faults).

    A case gives the same bits alone and among others. For that, matrix products are made case by case, because a
    product with a vector rounds differently from the same row of a larger product.
    """
    orders: list[BestOrder] = []
    for first in range(0, len(weights), SOME_CASES):
        some = slice(first, first + SOME_CASES)
        orders += _some_orders(model.bank, weights[some], chances[some])
    return orders


def _some_orders(bank: Bank, weights: Float64s, chances: Float64s) -> list[BestOrder]:
    bench = bench_of(bank)
    laid = lay_out(bench, best_orders(bench, weights, chances))
    steps = laid.order.shape[1]
    tried = np.broadcast_to(bench.finds[bench.shared], (len(weights), len(bench.shared), len(bank.faults)))
    left = chances_left(bench, weights, np.concatenate([laid.before, tried], axis=1))
    finds = np.matmul(chances[:, None, :], bench.finds.T)[:, 0]
    finds[:, bench.shared] = left[:, steps:]
    finds = np.take_along_axis(finds, laid.order, axis=1)
    expected = (laid.minutes * left[:, :steps]).sum(axis=1)
    do = [step.do for step in bank.steps]
    rows_of_cases = zip(laid.order.tolist(), laid.minutes.tolist(), finds.tolist(), laid.can_find.tolist(), strict=True)
    return [
        (
            tuple(BenchStep(do[at], took, chance) for at, took, chance, can in zip(*rows, strict=True) if can),
            minutes,
        )
        for rows, minutes in zip(rows_of_cases, expected.tolist(), strict=True)
    ]


class Laid(NamedTuple):
    """Steps laid out in order. order: (cases, steps). before: (cases, steps, faults) what is left of each fault when
    the step begins. can_find: (cases, steps) False if everything the step looks for has been cleared for certain; such
    a step is not done. minutes: (cases, steps) including covers that come off for it, 0 if it is not done.
    """

    order: Indices
    before: Float64s
    can_find: Bools
    minutes: Float64s


def lay_out(bench: Bench, order: Indices) -> Laid:
    """order: (cases, steps)."""
    before = np.ones((*order.shape, bench.leaves.shape[1]))
    np.multiply.accumulate(bench.leaves[order[:, :-1]], axis=1, out=before[:, 1:])
    can_find = np.einsum("cnf,cnf->cn", before, bench.looks[order]) > 0.0
    minutes = bench.minutes[order] * can_find
    for cover, more in enumerate(bench.access_minutes.tolist()):
        needs_it_off = can_find & (bench.access[order] == cover)
        minutes[np.arange(len(order)), needs_it_off.argmax(axis=1)] += more * needs_it_off.any(axis=1)
    return Laid(order, before, can_find, minutes)


def expected_minutes(bench: Bench, weight: Float64s, order: Sequence[int]) -> float:
    """Mean minutes until no fault is left, with the steps done in order."""
    laid = lay_out(bench, np.array([order]))
    return float(laid.minutes[0] @ chance_left(bench, weight, laid.before[0]))
