"""What the kind of machine, and findings that stop it, mean for its bench: which steps may be done, which come first.

While a machine must not be run, the steps that make it safe come first, in the bank's order, and nothing opens the
throttle far or loads the engine: no such step, and no such re-test after a repair. The order among the rest is the best
one. For the search, the first steps take no time, so it puts them first by itself, and what is barred takes so long
that it comes last.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from diagnostics.core.arrays import Bools, Float64s, Indices
from diagnostics.core.bank.bank import Bank, BankStep, Repair
from diagnostics.core.bench.search import Minutes, own_minutes
from diagnostics.core.bench.work import bench_of

AT_ONCE_MIN, NEVER_MIN = 1e-6, 1e9  # what the search takes for the minutes of what comes first, and of what is barred
FIRST, THEN, BARRED = 0, 1, 2


@dataclass(frozen=True)
class OnTheBench:
    """traits: of the machine. stops: the findings for which it must not be run, "id=value"; empty if it may."""

    traits: frozenset[str] = frozenset()
    stops: tuple[str, ...] = ()


ANY_MACHINE = OnTheBench()


@dataclass(frozen=True, eq=False)
class Footing:
    """For several cases. turn: (cases, steps) FIRST, THEN or BARRED. minutes: for the search. repair_minutes: (cases,
    faults) of what puts each fault right, with its re-test."""

    turn: Indices
    minutes: Minutes
    repair_minutes: Float64s

    @property
    def is_barred(self) -> Bools:
        return np.asarray(self.turn == BARRED)

    def in_turn(self, order: Indices) -> Indices:
        """(cases, steps): the order with the first steps first, in the bank's order, and the barred ones last."""
        turn = np.take_along_axis(self.turn, order, axis=1)
        place = np.where(turn == FIRST, order, self.turn.shape[1])
        return np.take_along_axis(order, np.lexsort((place, turn), axis=1), axis=1)


def alike(bank: Bank, standing: OnTheBench) -> OnTheBench:
    """One that means the same on this bench, without the figures and answers that no step asks about: cases share it,
    and what is cached for it.
    """
    asked = _asked_about(bank)
    stops = (stop if stop in asked else stop.partition("=")[0] for stop in standing.stops)
    return OnTheBench(standing.traits, tuple(sorted(set(stops))))


@lru_cache(maxsize=8)
def _asked_about(bank: Bank) -> frozenset[str]:
    return frozenset(stop for step in bank.steps for stop in step.makes_safe)


def footings_of(bank: Bank, standings: Sequence[OnTheBench]) -> Footing:
    each = [_footing(bank, standing) for standing in standings]
    return Footing(
        np.concatenate([one.turn for one in each]),
        Minutes(
            np.concatenate([one.minutes.step for one in each]), np.concatenate([one.minutes.cover for one in each])
        ),
        np.concatenate([one.repair_minutes for one in each]),
    )


def turn_of(step: BankStep, standing: OnTheBench) -> int:
    """FIRST, THEN or BARRED."""
    if step.only_on and not step.only_on & standing.traits:
        return BARRED
    if not standing.stops:
        return THEN
    if step.opens_throttle:
        return BARRED
    return FIRST if any(_is_after(stop, step.makes_safe) for stop in standing.stops) else THEN


def _is_after(stop: str, makes_safe: Sequence[str]) -> bool:
    return stop in makes_safe or stop.partition("=")[0] in makes_safe


def repair_of(repair: Repair, standing: OnTheBench) -> tuple[str, float]:
    """Its words and its minutes on such a machine, with the re-test, unless that may not be done yet."""
    do, minutes = next((found for trait, found in repair.on.items() if trait in standing.traits), _plain(repair))
    retest = repair.retest
    if retest is None or (standing.stops and retest.opens_throttle):
        return do, minutes
    return f"{do}, then {retest.do}", minutes + retest.minutes


def _plain(repair: Repair) -> tuple[str, float]:
    return repair.do, repair.minutes


@lru_cache(maxsize=512)
def _footing(bank: Bank, standing: OnTheBench) -> Footing:
    bench = bench_of(bank)
    turn = np.array([turn_of(step, standing) for step in bank.steps], dtype=np.intp)
    own = own_minutes(bench, 1)
    step = np.where(turn == BARRED, NEVER_MIN, np.where(turn == FIRST, AT_ONCE_MIN, own.step))
    is_open = np.isin(bench.access, bench.access[turn == FIRST]) & (bench.access >= 0)
    repairs = [
        repair_of(bank.repairs[fault], standing)[1] if fault in bank.repairs else 0.0 for fault in bank.fault_ids
    ]
    return Footing(turn[None], Minutes(step, np.where(is_open, 0.0, own.cover)), np.array([repairs]))
