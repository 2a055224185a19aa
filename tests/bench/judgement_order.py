"""How near the bench's order is to the best: every order tried, all subsets, or a much wider search."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

import numpy as np

from diagnostics.core.bank import Bank
from diagnostics.core.bench_order import bench_order, best_order, expected_minutes, work_of
from diagnostics.core.bench_window import best_window
from diagnostics.core.bench_work import Begun, Work
from diagnostics.core.evidence import gather
from diagnostics.core.inference import model_of
from tests.bench.judgement_speed import mixed_cases
from tests.diagnostics.core.test_bench_order import exhaustive, random_work
from tests.diagnostics.core.wide_search import wide_search


def order_lines(bank: Bank, sheets: int) -> list[str]:
    small, larger = np.random.default_rng(1995), np.random.default_rng(9)
    few = [_dearer(random_work(small, steps=5, faults=4), exhaustive) for _ in range(200)]
    more = [_dearer(random_work(larger, steps=9, faults=6), _by_subsets) for _ in range(200)]
    return [
        _told("200 random instances of 5 steps and 4 faults, every order tried", few),
        _told("200 random instances of 9 steps and 6 faults, all subsets", more),
        _told(f"{sheets} sheets on the whole bank, a much wider search", list(_on_the_bank(bank, sheets))),
    ]


def _told(what: str, dearer: Sequence[float]) -> str:
    found = np.array(dearer)
    return f"bench order: {what}: {found.mean():.3%} dearer in the mean, {found.max():.2%} at worst (to reach: 1 %)"


def _dearer(work: Work, judge: Callable[[Work], float]) -> float:
    return expected_minutes(work, best_order(work)) / judge(work) - 1


def _by_subsets(work: Work) -> float:
    steps = list(range(len(work.minutes)))
    return expected_minutes(work, best_window(work, Begun.nothing(work), steps))


def _on_the_bank(bank: Bank, sheets: int) -> Iterable[float]:
    model, do = model_of(bank), [step.do for step in bank.steps]
    for case in mixed_cases(bank, sheets):
        weight = gather(model, case).weight()
        steps, minutes = bench_order(model, weight)
        work = work_of(bank, model.has, weight)
        wide = wide_search(work, [do.index(step.do) for step in steps])
        yield minutes / expected_minutes(work, wide) - 1
