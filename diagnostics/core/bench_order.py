"""The best order of tests and repairs on the bench: least expected minutes until no fault is left.

Decision-theoretic troubleshooting (Heckerman, Breese and Rommelse, Communications of the ACM 1995). Falling chance per
minute is best only for one fault and independent actions (Kadane and Simon 1977); with several faults, and with steps
that share what must come off first, it can be several per cent too dear. So that order is only the start: single steps
are moved forward as long as that saves minutes (bench_search), then the first eight, which are done most often, are put
in their best order by dynamic programming over subsets (bench_window): of eight steps or fewer that is the best.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache, partial

import numpy as np

from diagnostics.core.bank import Bank
from diagnostics.core.bench_chances import AT_ONCE, exactly_left, in_pairs
from diagnostics.core.bench_search import Laid, lay_out, moved_forward, thorough_at_once
from diagnostics.core.bench_window import best_window
from diagnostics.core.bench_work import Facts, LeftOf, Work, begun_after, chance_left, facts_of
from diagnostics.core.inference import Floats, Model, Whole, fault_chances

WINDOW = 8  # steps ordered exactly: 256 subsets
STRIDE = 4
SEVERAL = 0.45  # chance of two faults or more from which a window is worth its time


@dataclass(frozen=True)
class BenchStep:
    """do: what; minutes: in this order, with what must come off first; finds: chance that it shows or cures a fault."""

    do: str
    minutes: float
    finds: float


def bench_order(model: Model, weight: Floats, chances: Floats | None = None) -> tuple[tuple[BenchStep, ...], float]:
    """Steps in the best order found, and the expected minutes until no fault is left (a sound machine counts none).

    weight: (sets,) chance of each set, adding up to 1; chances: (faults,) of each fault by it, where they are at hand.
    A step that can find nothing more after those before it is left out; those that are there can clear every fault.
    """
    work = work_of(model.bank, model.has, weight)
    chances = fault_chances(model, weight) if chances is None else chances
    is_small = model.bank.most_at_once <= AT_ONCE
    left_after = partial(exactly_left, weight) if is_small else partial(chance_left, work)
    order, before, minutes = _without_idle(_laid_best(work, chances, left_after))
    shared = list(work.facts.shared)
    finds = work.facts.finds @ chances
    tried = np.vstack([before, work.facts.finds[shared]])
    left = left_after(tried)
    finds[shared] = left[len(order) :]
    told = zip(order, minutes.tolist(), finds[order].tolist(), strict=True)
    steps = tuple(BenchStep(model.bank.steps[step].do, took, chance) for step, took, chance in told)
    return steps, float(minutes @ left[: len(order)])


def work_of(bank: Bank, has: Floats, weight: Floats) -> Work:
    """The bank's steps over these sets of faults."""
    minutes, access, access_minutes, leaves, facts = _steps_of(bank)
    return Work(minutes, access, access_minutes, leaves, has, weight, facts)


def best_order(work: Work) -> list[int]:
    """Indices of the steps in the best order found; exact where there are no more steps than the window holds."""
    return _without_idle(_laid_best(work, work.weight @ work.has, partial(chance_left, work)))[0]


def _laid_best(work: Work, chances: Floats, left: LeftOf) -> Laid:
    pairs = in_pairs(work.has, work.weight)
    found = moved_forward(work, pairs, by_chance_per_minute(work, chances))
    laid = thorough_at_once(work, pairs, found).laid
    if pairs.several < SEVERAL and len(laid.order) > WINDOW:
        return laid
    order = laid.order[np.argsort(laid.minutes <= 0, kind="stable")].tolist()
    for first in (min(STRIDE, max(0, len(order) - WINDOW)), 0):
        begun, inside = begun_after(work, order[:first]), slice(first, first + WINDOW)
        order[inside] = best_window(work, begun, order[inside], left)
    return lay_out(work, np.array(order))


def _without_idle(laid: Laid) -> tuple[list[int], Floats, Floats]:
    """Order, what is left before and minutes without the steps all of whose faults are cleared for certain before."""
    kept: Whole = np.flatnonzero(laid.minutes)
    return laid.order[kept].tolist(), laid.before[kept], laid.minutes[kept]


def without_idle_steps(work: Work, order: Sequence[int]) -> list[int]:
    """The order without steps all of whose faults are cleared for certain by those before them."""
    return _without_idle(lay_out(work, np.asarray(order)))[0]


def minutes_in_order(work: Work, order: Sequence[int]) -> list[float]:
    """Minutes of each step done in this order, what must come off counted with the first that needs it; 0 for a step
    that can find nothing more."""
    return [float(minutes) for minutes in lay_out(work, np.asarray(order)).minutes]


def expected_minutes(work: Work, order: Sequence[int]) -> float:
    """Mean minutes of the steps done in order until no fault is left."""
    laid = lay_out(work, np.asarray(order))
    return float(laid.minutes @ chance_left(work, laid.before))


def by_chance_per_minute(work: Work, chances: Floats) -> list[int]:
    """Falling chance per minute, given what was done; steps behind one cover counted together where that is better."""
    return _Greedy(work, chances).order()


class _Greedy:
    """left: per fault the chance that it is there and not cleared; gain: per step that it clears one; offers: by step,
    or ~cover for those behind one that is on, the chance per minute of the best that begins there and its first step.
    """

    def __init__(self, work: Work, chances: Floats) -> None:
        self.access, self.minutes = work.access, work.minutes.tolist()
        self.cover_minutes = work.access_minutes.tolist()
        self.facts = work.facts
        self.left: list[float] = chances.tolist()
        self.gain = [self._gain(step) for step in range(len(self.minutes))]
        self.behind: dict[int, list[int]] = {}
        self.offers: dict[int, tuple[float, int]] = {}
        for step, cover in enumerate(self.access):
            if cover >= 0:
                self.behind.setdefault(cover, []).append(step)
        for step in range(len(self.minutes)):
            self._offer(step)

    def order(self) -> list[int]:
        order = []
        while self.offers:
            step = max(self.offers.values())[1]
            order.append(step)
            self._take(step)
        return order

    def _take(self, step: int) -> None:
        opened = self.behind.pop(self.access[step], [])
        self.offers.pop(~self.access[step] if opened else step)
        self.gain[step] = -1.0
        for other in opened:
            self._offer(other)
        for fault, chance in self.facts.listed[step]:
            self.left[fault] *= 1.0 - chance
            for other in self.facts.finders[fault]:
                if self.gain[other] >= 0.0:
                    self.gain[other] = self._gain(other)
                    self._offer(other)

    def _gain(self, step: int) -> float:
        return sum([chance * self.left[fault] for fault, chance in self.facts.listed[step]], 0.0)

    def _offer(self, step: int) -> None:
        """Offers the step, or the best beginning behind its cover; nothing where it is taken."""
        cover = self.access[step]
        if cover in self.behind:
            self.offers[~cover] = self._best_behind(cover)
        elif self.gain[step] >= 0.0:
            self.offers[step] = (self.gain[step] / self.minutes[step], step)

    def _best_behind(self, cover: int) -> tuple[float, int]:
        by_ratio = sorted(self.behind[cover], key=lambda step: -self.gain[step] / self.minutes[step])
        gain, minutes, best = 0.0, self.cover_minutes[cover], -1.0
        for step in by_ratio:
            gain, minutes = gain + self.gain[step], minutes + self.minutes[step]
            best = max(best, gain / minutes)
        return best, by_ratio[0]


@lru_cache(maxsize=8)
def _steps_of(bank: Bank) -> tuple[Floats, list[int], Floats, Floats, Facts]:
    names = list(bank.access_minutes)
    leaves = np.array([[1.0 - step.clears.get(fault, 0.0) for fault in bank.fault_ids] for step in bank.steps])
    return (
        np.array([step.minutes for step in bank.steps]),
        [names.index(step.access) if step.access else -1 for step in bank.steps],
        np.array([bank.access_minutes[name] for name in names]),
        leaves,
        facts_of(leaves),
    )
