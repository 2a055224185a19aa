"""The best order of tests and repairs on the bench: least expected minutes until no fault is left.

Decision-theoretic troubleshooting (Heckerman, Breese and Rommelse, Communications of the ACM 1995). Falling chance per
minute is best only for one fault and independent actions (Kadane and Simon 1977); with several faults, and with steps
that share what must come off first, it can be several per cent too dear. So that order is only the start: windows of it
are then put in their best order exactly (dynamic programming over subsets), until no window changes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from diagnostics.core.bank import Bank
from diagnostics.core.bench_window import best_window
from diagnostics.core.bench_work import Begun, Work, begun_after, chance_left
from diagnostics.core.inference import Floats, Model

WINDOW = 8  # steps ordered exactly at a time: 256 subsets
SWEEPS = 8  # at most so many passes over the order
LIKELIEST_SETS = 200  # sets of faults that the search looks at; the minutes that are told are over all sets
TOO_LITTLE_MINUTES = 1e-9  # a gain by rounding is none
NOT_WORTH_MINUTES = 0.05  # a window that could save no more is left as it is


@dataclass(frozen=True)
class BenchStep:
    """do: what; minutes: in this order, with what must come off first; finds: chance that it shows or cures a fault."""

    do: str
    minutes: float
    finds: float


def bench_order(model: Model, weight: Floats) -> tuple[tuple[BenchStep, ...], float]:
    """Steps in the best order found, and the expected minutes until no fault is left (a sound machine counts none).

    weight: (sets,) chance of each set, adding up to 1. A step that can find nothing more after those before it is left
    out; those that are there can clear every fault.
    """
    everything = work_of(model.bank, model.has, weight)
    likeliest = np.argpartition(-weight, min(LIKELIEST_SETS, len(weight) - 1))[:LIKELIEST_SETS]
    order = best_order(work_of(model.bank, model.has[likeliest], weight[likeliest]))
    finds = np.maximum(1.0 - _left_by_each(model) @ weight, 0.0)
    minutes = minutes_in_order(everything, order)
    steps = tuple(BenchStep(model.bank.steps[k].do, m, float(finds[k])) for k, m in zip(order, minutes, strict=True))
    return steps, expected_minutes(everything, order)


def work_of(bank: Bank, has: Floats, weight: Floats) -> Work:
    """The bank's steps over these sets of faults."""
    minutes, access, access_minutes, leaves = _steps_of(bank)
    return Work(minutes, access, access_minutes, leaves, has, weight)


def best_order(work: Work, window: int = WINDOW) -> list[int]:
    """Indices of the steps in the best order found; exact where there are no more steps than the window holds."""
    order = _windows_in_best_order(work, _by_chance_per_minute(work), window)
    for _ in range(SWEEPS):
        thorough = _thorough_at_once(work, order)
        if thorough is None:
            break
        order = _windows_in_best_order(work, thorough, window)
    return without_idle_steps(work, order)


def _windows_in_best_order(work: Work, order: list[int], window: int) -> list[int]:
    stride = max(1, window // 2)
    in_best_order: set[tuple[frozenset[int], tuple[int, ...]]] = set()
    for _ in range(SWEEPS):
        kept = without_idle_steps(work, order)
        order = kept + [step for step in order if step not in kept]
        before = list(order)
        for first in range(0, max(1, len(order) - window + stride), stride):
            done = frozenset(order[:first])
            if (done, tuple(order[first : first + window])) not in in_best_order:
                _improve(work, order, first, window)
                in_best_order.add((done, tuple(order[first : first + window])))
        if order == before:
            break
    return order


def _thorough_at_once(work: Work, order: list[int]) -> list[int] | None:
    """The order with one quick look replaced by the thorough step that makes it idle, where that is better; or None.

    A window shows only some of this: the thorough step may stand far behind, and open a cover for others.
    """
    best, least = None, expected_minutes(work, without_idle_steps(work, order)) - TOO_LITTLE_MINUTES
    for place, quick in enumerate(order):
        looks_for = work.leaves[quick] < 1.0
        if np.all(work.leaves[quick][looks_for] <= 0.0):
            continue
        for thorough in order[place + 1 :]:
            if np.any(work.leaves[thorough][looks_for] > 0.0):
                continue
            rest = [step for step in order[place + 1 :] if step != thorough]
            tried = [*order[:place], thorough, *rest, quick]
            minutes = expected_minutes(work, without_idle_steps(work, tried))
            if minutes < least:
                best, least = tried, minutes
    return best


def without_idle_steps(work: Work, order: Sequence[int]) -> list[int]:
    """The order without steps all of whose faults are cleared for certain by those before them."""
    begun, kept = Begun.nothing(work), []
    for step in order:
        if not begun.is_idle(work, step):
            kept.append(step)
            begun = begun.then(work, step)
    return kept


def minutes_in_order(work: Work, order: Sequence[int]) -> list[float]:
    """Minutes of each step done in this order, what must come off counted with the first that needs it."""
    begun, minutes = Begun.nothing(work), []
    for step in order:
        minutes.append(begun.minutes(work, step))
        begun = begun.then(work, step)
    return minutes


def expected_minutes(work: Work, order: Sequence[int]) -> float:
    """Mean minutes of the steps done in order until no fault is left."""
    leaves = np.vstack([np.ones(work.leaves.shape[1]), np.cumprod(work.leaves[list(order)], axis=0)])[:-1]
    return float(np.dot(minutes_in_order(work, order), chance_left(work, leaves)))


def _improve(work: Work, order: list[int], first: int, window: int) -> None:
    """Puts order[first:first + window] in its best order, in place."""
    inside = order[first : first + window]
    begun = begun_after(work, order[:first])
    left = float(chance_left(work, begun.leaves[None, :])[0])
    if left * sum(work.minutes[step] for step in inside) > NOT_WORTH_MINUTES:
        order[first : first + window] = best_window(work, begun, inside)


def _by_chance_per_minute(work: Work) -> list[int]:
    """Falling chance per minute, given what was done; steps behind one cover counted together where that is better."""
    chance = work.weight @ work.has
    begun, order, rest = Begun.nothing(work), [], list(range(len(work.minutes)))
    while rest:
        gain = (1.0 - work.leaves[rest]) @ (chance * begun.leaves)
        step = _best_start(work, begun, rest, gain)
        order.append(step)
        rest.remove(step)
        begun = begun.then(work, step)
    return order


def _best_start(work: Work, begun: Begun, rest: Sequence[int], gain: Floats) -> int:
    """The step with which the best block begins: a single step, or several behind a cover that is still on."""
    by_ratio = sorted(zip(rest, gain.tolist(), strict=True), key=lambda pair: -pair[1] / work.minutes[pair[0]])
    covers: dict[int, tuple[float, float, int]] = {}
    best, best_ratio = rest[0], -1.0
    for step, worth in by_ratio:
        cover = int(work.access[step])
        if cover < 0 or cover in begun.is_open:
            total, minutes, leader = worth, float(work.minutes[step]), step
        else:
            total, minutes, leader = covers.get(cover, (0.0, float(work.access_minutes[cover]), step))
            total, minutes = total + worth, minutes + float(work.minutes[step])
            covers[cover] = (total, minutes, leader)
        if total / minutes > best_ratio:
            best, best_ratio = leader, total / minutes
    return best


@lru_cache(maxsize=8)
def _left_by_each(model: Model) -> Floats:
    """(steps, sets): chance that the step, done first, shows none of the set's faults."""
    leaves = _steps_of(model.bank)[3]
    left: Floats = np.prod(np.where(model.has[None, :, :] > 0, leaves[:, None, :], 1.0), axis=2)
    return left


@lru_cache(maxsize=8)
def _steps_of(bank: Bank) -> tuple[Floats, list[int], Floats, Floats]:
    names = list(bank.access_minutes)
    return (
        np.array([step.minutes for step in bank.steps]),
        [names.index(step.access) if step.access else -1 for step in bank.steps],
        np.array([bank.access_minutes[name] for name in names]),
        np.array([[1.0 - step.clears.get(fault, 0.0) for fault in bank.fault_ids] for step in bank.steps]),
    )
