"""How near the bench's order is to the best: every order tried, all subsets, or all that may be done.

The whole bank has too many ways to look at each. There its order stands beside that of the same search with wider
windows and no set of faults left out, which no order may beat by much.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from unittest.mock import patch

import numpy as np

from diagnostics.core.arrays import Float64s
from diagnostics.core.bank.bank import Bank
from diagnostics.core.bench import search, terms
from diagnostics.core.bench.order import best_orders_of, expected_minutes
from diagnostics.core.bench.work import Bench, bench_of
from diagnostics.core.judging.evidence import gather
from diagnostics.core.judging.inference import fault_chances, model_of
from tests.bench.judgement_speed import mixed_cases
from tests.diagnostics.core.random_benches import best_steps, of_all_subsets, of_every_order, random_instance
from tests.diagnostics.core.whole_bank import WholeBank, with_faults

TOP_END = ("exhaust-choked", "low-compression", "head-gasket")
WIDER = ((15, 9), (20, 9), (46, 9))
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
        _told(f"{sheets} sheets on ignition and top end, all that may be done", _on_much_of_the_bank(bank, sheets)),
        _told(f"{sheets} sheets on the whole bank, beside a wider search", _beside_a_wider_search(bank, sheets)),
    ]


def _told(what: str, dearer: Sequence[float]) -> str:
    found = np.array(dearer)
    return f"bench order: {what}: {found.mean():.3%} dearer in the mean, {found.max():.2%} at worst (to reach: 1 %)"


def _dearer(steps: int, faults: int, seed: int, judge: Callable[[Bench, Float64s], float]) -> list[float]:
    chance = np.random.default_rng(seed)
    dearer = []
    for _ in range(200):
        bench, weight = random_instance(chance, steps, faults)
        dearer.append(expected_minutes(bench, weight, best_steps(bench, weight)) / judge(bench, weight) - 1)
    return dearer


def _on_much_of_the_bank(bank: Bank, sheets: int) -> list[float]:
    some = with_faults(bank, lambda fault: fault.group == "ignition" or fault.id in TOP_END)
    whole = WholeBank(bench_of(some))
    weights = _weights(some, sheets)
    least = [whole.least_minutes(weight) for weight in weights]
    return [minutes / best - 1 for minutes, best in zip(_minutes(some, weights), least, strict=True)]


def _beside_a_wider_search(bank: Bank, sheets: int) -> list[float]:
    weights = _weights(bank, sheets)
    narrow = _minutes(bank, weights)
    with patch.object(search, "WIDTHS", WIDER), patch.object(terms, "TOO_UNLIKELY", 0.0):
        wide = _minutes(bank, weights)
    return [minutes / best - 1 for minutes, best in zip(narrow, wide, strict=True)]


def _weights(bank: Bank, sheets: int) -> Float64s:
    model = model_of(bank)
    return np.array([gather(model, case).weight() for case in mixed_cases(bank, sheets)])


def _minutes(bank: Bank, weights: Float64s) -> list[float]:
    """Of the tests alone: those of repairs are the same in every order."""
    model, bench = model_of(bank), bench_of(bank)
    told = best_orders_of(model, weights, np.array([fault_chances(model, weight) for weight in weights]))
    steps = [[placed.step for placed in order.placed] for order in told]
    return [expected_minutes(bench, weight, order) for weight, order in zip(weights, steps, strict=True)]
