"""The bench order as a judgement keeps it: tests, and after the first test that shows a fault well, its repair."""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

from diagnostics.core.bank.bank import Bank
from diagnostics.core.bench.footing import OnTheBench, repair_of
from diagnostics.core.bench.order import BestOrder
from diagnostics.core.judging.judgement import BenchStep

# Chance. Draining the tank may show water, and is not yet the test for it. Common practice, no source.
SHOWS_WELL = 0.4


def steps_told(bank: Bank, order: BestOrder, chances: list[float], standing: OnTheBench) -> tuple[BenchStep, ...]:
    """chances: of each fault. A repair is done only if a test has shown its fault; it puts right what is present."""
    tests, repairs = _texts(bank, standing)
    told: list[BenchStep] = []
    is_told = [False] * len(chances)
    for placed in order.placed:
        test = tests[placed.step]
        told.append(BenchStep(test.with_cover if placed.opens else test.do, placed.minutes, placed.finds))
        for fault in test.repaired:
            if not is_told[fault]:
                is_told[fault] = True
                told.append(BenchStep(*repairs[fault], chances[fault]))
    return tuple(told)


class _Test(NamedTuple):
    """do: its words; with_cover: the same with what comes off for it. repaired: indices of the faults that it shows
    well and that have a repair of their own."""

    do: str
    with_cover: str
    repaired: tuple[int, ...]


@lru_cache(maxsize=512)
def _texts(bank: Bank, standing: OnTheBench) -> tuple[list[_Test], dict[int, tuple[str, float]]]:
    at = {fault: index for index, fault in enumerate(bank.fault_ids)}
    tests = [
        _Test(
            step.do,
            f"{bank.access[step.access].say.capitalize()}. {step.do}" if step.access else step.do,
            tuple(at[f] for f, chance in step.clears.items() if f in bank.repairs and chance >= SHOWS_WELL),
        )
        for step in bank.steps
    ]
    repairs = {at[fault]: repair_of(repair, standing) for fault, repair in bank.repairs.items()}
    return tests, {fault: (f"If that is it: {do[:1].lower()}{do[1:]}", took) for fault, (do, took) in repairs.items()}
