"""The best order of tests on the bench: fewest expected minutes until no fault is left, with what puts each one right.

Decision-theoretic troubleshooting (Heckerman, Breese and Rommelse, Communications of the ACM 1995). Sorting by chance
per minute is optimal only for a single fault and independent actions (Kadane and Simon 1977). With several faults, and
with steps that share a cover, it can be several per cent too slow. So that order is only the start of a search
(search.py), which is exact for few steps. The minutes and chances given for the order found are always exact.

A step is a test, and what it shows is put right by the fault's own repair, done if and when the fault is shown. Each
fault present is shown once, so the repairs add the same minutes in every order: the chance of each fault times its
repair. The search leaves them out and loses nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from diagnostics.core.arrays import Bools, Float64s, Indices
from diagnostics.core.bank.bank import Bank
from diagnostics.core.bench.chances import chances_left
from diagnostics.core.bench.footing import ANY_MACHINE, Footing, OnTheBench, footings_of
from diagnostics.core.bench.search import best_orders
from diagnostics.core.bench.work import Bench, bench_of, chance_left
from diagnostics.core.judging.inference import Model, fault_chances

SOME_CASES = 32  # cases searched at once: more do not fit the processor’s caches


class PlacedStep(NamedTuple):
    """A step in an order. step: its index. minutes: including the cover that comes off for it, if opens. finds: chance
    that a fault it looks for is present and it shows it."""

    step: int
    minutes: float
    finds: float
    opens: bool


class BestOrder(NamedTuple):
    """placed: the steps. minutes: expected until no fault is left, with what puts them right (none for a sound
    machine)."""

    placed: tuple[PlacedStep, ...]
    minutes: float


def best_order(
    model: Model, weight: Float64s, chances: Float64s | None = None, standing: OnTheBench = ANY_MACHINE
) -> BestOrder:
    """The best order found.

    weight: (sets,) chance of each set, adding up to 1; chances: (faults,) the resulting chance of each fault, if known.
    A step that can find nothing after those before it is left out. Those that remain can show every fault.
    """
    of_faults = fault_chances(model, weight) if chances is None else chances
    return best_orders_of(model, weight[None], of_faults[None], [standing])[0]


def best_orders_of(
    model: Model, weights: Float64s, chances: Float64s, standings: Sequence[OnTheBench] | None = None
) -> list[BestOrder]:
    """`best_order` for many cases, about ten times quicker: weights (cases, sets), chances (cases, faults).

    A case gives the same bits alone and among others. For that, matrix products are made case by case, because a
    product with a vector rounds differently from the same row of a larger product.
    """
    standings = [ANY_MACHINE] * len(weights) if standings is None else standings
    orders: list[BestOrder] = []
    for first in range(0, len(weights), SOME_CASES):
        some = slice(first, first + SOME_CASES)
        footings = footings_of(model.bank, standings[some])
        orders += _some_orders(model.bank, weights[some], chances[some], footings)
    return orders


def _some_orders(bank: Bank, weights: Float64s, chances: Float64s, footing: Footing) -> list[BestOrder]:
    bench = bench_of(bank)
    order = footing.in_turn(best_orders(bench, weights, chances, footing.minutes))
    laid = lay_out(bench, order, footing.is_barred)
    steps = laid.order.shape[1]
    tried = np.broadcast_to(bench.finds[bench.shared], (len(weights), len(bench.shared), len(bank.faults)))
    left = chances_left(bench, weights, np.concatenate([laid.before, tried], axis=1))
    finds = np.matmul(chances[:, None, :], bench.finds.T)[:, 0]
    finds[:, bench.shared] = left[:, steps:]
    finds = np.take_along_axis(finds, laid.order, axis=1)
    expected = (laid.minutes * left[:, :steps]).sum(axis=1) + (chances * footing.repair_minutes).sum(axis=1)
    columns = (laid.order, laid.minutes, finds, laid.opens)
    return [
        BestOrder(tuple(map(PlacedStep, *(column[case, is_done].tolist() for column in columns))), minutes)
        for case, (is_done, minutes) in enumerate(zip(laid.can_find, expected.tolist(), strict=True))
    ]


class Laid(NamedTuple):
    """Steps laid out in order. order: (cases, steps). before: (cases, steps, faults) what is left of each fault when
    the step begins. can_find: (cases, steps) False if everything the step looks for has been shown for certain; such a
    step is not done. minutes: (cases, steps) including covers that come off for it, 0 if it is not done. opens: (cases,
    steps) whether a cover comes off for it.
    """

    order: Indices
    before: Float64s
    can_find: Bools
    minutes: Float64s
    opens: Bools


def lay_out(bench: Bench, order: Indices, is_barred: Bools | None = None) -> Laid:
    """order: (cases, steps), those that are barred last. is_barred: (cases, steps) by step, not by place."""
    before = np.ones((*order.shape, bench.leaves.shape[1]))
    np.multiply.accumulate(bench.leaves[order[:, :-1]], axis=1, out=before[:, 1:])
    can_find = np.einsum("cnf,cnf->cn", before, bench.looks[order]) > 0.0
    if is_barred is not None:
        can_find &= ~np.take_along_axis(is_barred, order, axis=1)
    minutes, opens = bench.minutes[order] * can_find, np.zeros(order.shape, dtype=np.bool_)
    cases = np.arange(len(order))
    for cover, more in enumerate(bench.access_minutes.tolist()):
        needs_it_off = can_find & (bench.access[order] == cover)
        first, is_needed = needs_it_off.argmax(axis=1), needs_it_off.any(axis=1)
        minutes[cases, first] += more * is_needed
        opens[cases, first] |= is_needed
    return Laid(order, before, can_find, minutes, opens)


def expected_minutes(bench: Bench, weight: Float64s, order: Sequence[int]) -> float:
    """Mean minutes of the steps done in order until no fault is left, without those of repairs."""
    laid = lay_out(bench, np.array([order]))
    return float(laid.minutes[0] @ chance_left(bench, weight, laid.before[0]))
