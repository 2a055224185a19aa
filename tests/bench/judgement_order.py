"""How near the bench's order is to the best: every order tried, all subsets, or all that may be done on the bank."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from diagnostics.core.arrays import Float64s
from diagnostics.core.bank.bank import Bank
from diagnostics.core.bench.order import bench_orders, expected_minutes
from diagnostics.core.bench.work import Bench, bench_of
from diagnostics.core.judging.evidence import gather
from diagnostics.core.judging.inference import fault_chances, model_of
from tests.bench.judgement_speed import mixed_cases
from tests.diagnostics.core.random_benches import best_order, of_all_subsets, of_every_order, random_instance
from tests.diagnostics.core.whole_bank import WholeBank

SMALL = (
    (5, 4, 205, of_every_order),
    (9, 6, 206, of_all_subsets),
    (12, 7, 207, of_all_subsets),
    (14, 9, 208, of_all_subsets),
)


def order_lines(bank: Bank, sheets: int) -> list[str]:
    return [
        *(
            _told(f"200 random instances of {steps} steps and {faults} faults", _dearer(steps, faults, seed, judge))
            for steps, faults, seed, judge in SMALL
        ),
        _told(f"{sheets} sheets on the whole bank, all that may be done", _on_the_bank(bank, sheets)),
    ]


def _told(what: str, dearer: Sequence[float]) -> str:
    found = np.array(dearer)
    return f"bench order: {what}: {found.mean():.3%} dearer in the mean, {found.max():.2%} at worst (to reach: 1 %)"


def _dearer(steps: int, faults: int, seed: int, judge: Callable[[Bench, Float64s], float]) -> list[float]:
    chance = np.random.default_rng(seed)
    dearer = []
    for _ in range(200):
        bench, weight = random_instance(chance, steps, faults)
        dearer.append(expected_minutes(bench, weight, best_order(bench, weight)) / judge(bench, weight) - 1)
    return dearer


def _on_the_bank(bank: Bank, sheets: int) -> list[float]:
    model, whole = model_of(bank), WholeBank(bench_of(bank))
    weights = np.array([gather(model, case).weight() for case in mixed_cases(bank, sheets)])
    told = bench_orders(model, weights, np.array([fault_chances(model, weight) for weight in weights]))
    return [minutes / whole.least_minutes(weight) - 1 for (_, minutes), weight in zip(told, weights, strict=True)]
