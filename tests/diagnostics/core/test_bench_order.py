"""The bench's order: published theorem, the reference example, and exhaustive search."""

from __future__ import annotations

from itertools import permutations

import numpy as np
import pytest

from diagnostics.core.assess import assess
from diagnostics.core.bench_chances import exactly_left, in_pairs
from diagnostics.core.bench_order import best_order, expected_minutes, minutes_in_order, without_idle_steps, work_of
from diagnostics.core.bench_window import best_window
from diagnostics.core.bench_work import Begun, Work, chance_left
from diagnostics.core.evidence import gather
from diagnostics.core.inference import Floats, model_of, sets_of_faults
from diagnostics.reads.bank import the_bank
from tests.diagnostics.core.drawn_sheets import draw_sheet
from tests.diagnostics.core.small_banks import case_of, small_bank
from tests.diagnostics.core.wide_search import wide_search


def plain_minutes(work: Work, order: list[int] | tuple[int, ...]) -> float:
    """The slow twin: set by set, step by step, the chance that a fault of the set is left when the step begins."""
    total = 0.0
    minutes = minutes_in_order(work, list(order))
    for has, weight in zip(work.has, work.weight, strict=True):
        held = np.flatnonzero(has)
        for place in range(len(order)):
            none_left = 1.0
            for fault in held:
                left = 1.0
                for step in order[:place]:
                    left *= work.leaves[step, fault]
                none_left *= 1 - left
            total += weight * minutes[place] * (1 - none_left)
    return total


def single_faults(chances: list[float], minutes: list[float]) -> Work:
    n = len(chances)
    has = np.vstack([np.zeros(n), np.eye(n)])
    return Work(np.array(minutes), [-1] * n, np.array([]), 1 - np.eye(n), has, np.array([1 - sum(chances), *chances]))


def test_with_one_fault_only_falling_chance_per_minute_is_best() -> None:
    """Source: Kadane and Simon 1977; figures of the reference sheet, section 6 (all 24 orders tried): 29.00."""
    work = single_faults([0.40, 0.25, 0.20, 0.15], [5, 30, 15, 20])  # plug, coil, leak, jet
    order = best_order(work)
    assert order == [0, 2, 1, 3]
    assert expected_minutes(work, order) == pytest.approx(29.00, abs=1e-9)
    assert expected_minutes(work, [0, 1, 2, 3]) == pytest.approx(31.25, abs=1e-9)


@pytest.mark.parametrize(
    ("order", "minutes"),
    [("CAB", 21.1087), ("CBA", 22.9253), ("BCA", 29.4074), ("ACB", 33.5344), ("ABC", 41.0968), ("BAC", 42.7122)],
)
def test_the_example_with_several_faults_comes_out(order: str, minutes: float) -> None:
    """Source: reference sheet, section 6, by brute force: noisy-OR example, symptom present, costs A 30, B 15, C 5."""
    work = symptom_work()
    assert expected_minutes(work, ["ABC".index(name) for name in order]) == pytest.approx(minutes, abs=5e-5)


def test_the_best_order_of_the_example_is_found_and_told() -> None:
    shows = {fault: {"yes": link} for fault, link in {"A": 0.8, "B": 0.5, "C": 0.6}.items()}
    questions = {"symptom": ({"no": 0.98, "yes": 0.02}, shows)}
    bank = small_bank({"A": 0.1, "B": 0.05, "C": 0.2}, questions, {"A": 30, "B": 15, "C": 5})
    judgement = assess(bank, case_of(bank, {"symptom": "yes"}))
    assert [step.do for step in judgement.bench_order] == ["C", "A", "B"]
    assert judgement.expected_bench_minutes == pytest.approx(21.1087, abs=5e-5)
    assert judgement.groups["nothing-wrong"] == pytest.approx(0.0604168, abs=5e-8)
    assert [step.finds for step in judgement.bench_order] == pytest.approx(
        [0.572701513, 0.367372824, 0.133220744], abs=1e-9
    )


def symptom_work() -> Work:
    has = sets_of_faults(3, 3)
    prior, link = np.array([0.1, 0.05, 0.2]), np.array([0.8, 0.5, 0.6])
    weight = np.prod(np.where(has > 0, prior, 1 - prior), axis=1) * (
        1 - 0.98 * np.prod(np.where(has > 0, 1 - link, 1), axis=1)
    )
    return Work(np.array([30.0, 15.0, 5.0]), [-1, -1, -1], np.array([]), 1 - np.eye(3), has, weight / weight.sum())


def random_work(chance: np.random.Generator, steps: int, faults: int) -> Work:
    """Several faults likely at once; some steps see several faults, some only part of the time, some share a cover."""
    has = sets_of_faults(faults, faults)
    present = chance.uniform(0.05, 0.6, faults)
    weight = np.prod(np.where(has > 0, present, 1 - present), axis=1) * chance.uniform(0.2, 1, len(has))
    leaves = np.ones((steps, faults))
    for step in range(steps):
        leaves[step, step % faults] = chance.choice([0.0, 0.0, 0.3])
        if chance.random() < 0.3:
            leaves[step, chance.integers(faults)] = 0.0
    access = [int(chance.integers(-1, 2)) for _ in range(steps)]
    return Work(chance.uniform(5, 40, steps), access, chance.uniform(5, 25, 2), leaves, has, weight / weight.sum())


def exhaustive(work: Work) -> float:
    return min(
        expected_minutes(work, without_idle_steps(work, order)) for order in permutations(range(len(work.minutes)))
    )


def test_two_hundred_small_instances_are_within_a_hundredth_of_exhaustive_search() -> None:
    """Of so few steps the order is exactly the best: the window holds them all."""
    chance = np.random.default_rng(1995)
    ratios = []
    for _ in range(200):
        work = random_work(chance, steps=5, faults=4)
        ratios.append(expected_minutes(work, best_order(work)) / exhaustive(work))
    assert max(ratios) <= 1 + 1e-9


def test_two_hundred_instances_larger_than_the_window_are_within_a_hundredth_of_the_best_in_the_mean() -> None:
    """The best by dynamic programming over all subsets, which the test above holds against trying every order."""
    chance = np.random.default_rng(9)
    ratios = []
    for _ in range(200):
        work = random_work(chance, steps=9, faults=6)
        best = best_window(work, Begun.nothing(work), list(range(9)))
        ratios.append(expected_minutes(work, best_order(work)) / expected_minutes(work, best))
    assert min(ratios) >= 1 - 1e-9
    assert np.mean(ratios) <= 1.002
    assert np.mean(np.array(ratios) <= 1.01) >= 0.98


@pytest.mark.parametrize("seed", range(10))
def test_dynamic_programming_finds_what_trying_every_order_finds(seed: int) -> None:
    work = random_work(np.random.default_rng(seed), steps=6, faults=4)
    best = best_window(work, Begun.nothing(work), list(range(6)))
    assert expected_minutes(work, best) == pytest.approx(exhaustive(work), abs=1e-9)


@pytest.mark.parametrize(("faults", "at_once"), [(19, 4), (6, 4), (5, 3), (4, 2), (3, 1)])
def test_the_quick_sum_over_the_sets_is_the_sum_over_the_sets(faults: int, at_once: int) -> None:
    chance = np.random.default_rng(faults)
    has = sets_of_faults(faults, at_once)
    leaves = chance.choice([0.0, 0.3, 1.0], size=(7, faults))
    weight = chance.dirichlet(np.ones(len(has)))
    work = Work(np.ones(7), [-1] * 7, np.array([]), leaves, has, weight)
    assert exactly_left(weight, leaves) == pytest.approx(chance_left(work, leaves), abs=1e-12)


def test_pairs_stand_for_sets_of_two_exactly_and_for_larger_ones_at_even_distances() -> None:
    """The longest of n times at even distances is what the two shares of a larger set give."""
    for size in range(1, 7):
        alone = in_pairs(np.vstack([np.zeros(size), np.ones(size)]), np.array([0.0, 1.0]))
        times = np.arange(1.0, size + 1)
        longer = np.maximum(times[:, None], times[None, :])
        assert alone.single @ times + np.sum(alone.pair * longer) == pytest.approx(size)
        assert alone.left(np.ones((1, size))) == pytest.approx([1.0])
        assert alone.left(np.zeros((1, size))) == pytest.approx([0.0], abs=1e-12)


def test_minutes_told_are_those_of_the_slow_twin() -> None:
    chance = np.random.default_rng(5)
    for _ in range(20):
        work = random_work(chance, steps=6, faults=4)
        order = best_order(work)
        assert expected_minutes(work, order) == pytest.approx(plain_minutes(work, order), abs=1e-9)


@pytest.mark.parametrize("seed", range(12))
def test_on_the_whole_bank_the_order_is_within_a_hundredth_of_a_much_wider_search(seed: int) -> None:
    judgement, work = judged(seed)
    do = [step.do for step in the_bank().steps]
    wide = wide_search(work, [do.index(step.do) for step in judgement.bench_order])
    assert judgement.expected_bench_minutes <= 1.01 * expected_minutes(work, wide)


@pytest.mark.parametrize("seed", range(8))
def test_finds_and_expected_minutes_are_sums_over_the_judged_sets(seed: int) -> None:
    judgement, work = judged(seed)
    do = [step.do for step in the_bank().steps]
    order = [do.index(step.do) for step in judgement.bench_order]
    assert judgement.expected_bench_minutes == pytest.approx(expected_minutes(work, order), abs=1e-9)
    shows_none = np.array([np.prod(np.where(work.has > 0, work.leaves[k], 1.0), axis=1) @ work.weight for k in order])
    assert [step.finds for step in judgement.bench_order] == pytest.approx((1 - shows_none).tolist(), abs=1e-12)
    assert [step.minutes for step in judgement.bench_order] == minutes_in_order(work, order)


@pytest.mark.parametrize("seed", range(8))
def test_the_steps_told_can_clear_every_fault_and_none_stands_twice(seed: int) -> None:
    bank = the_bank()
    judgement, _ = judged(seed)
    by_name = {step.do: step for step in bank.steps}
    told = [step.do for step in judgement.bench_order]
    assert len(set(told)) == len(told)
    cleared = {fault for do in told for fault, chance in by_name[do].clears.items() if chance == 1}
    assert cleared == set(bank.fault_ids)


def test_what_must_come_off_is_counted_once_and_with_the_first_that_needs_it() -> None:
    judgement, _ = judged(3)
    bank = the_bank()
    by_name = {step.do: step for step in bank.steps}
    open_covers: set[str] = set()
    for told in judgement.bench_order:
        step = by_name[told.do]
        more = bank.access_minutes[step.access] if step.access and step.access not in open_covers else 0
        assert told.minutes == step.minutes + more
        open_covers.add(step.access)


def test_a_sound_machine_counts_no_minutes() -> None:
    work = symptom_work()
    sound: Floats = np.zeros(len(work.weight))
    sound[0] = 1.0
    nothing = Work(work.minutes, work.access, work.access_minutes, work.leaves, work.has, sound)
    assert expected_minutes(nothing, [0, 1, 2]) == 0


def judged(seed: int):  # type: ignore[no-untyped-def]
    bank = the_bank()
    case = draw_sheet(bank, np.random.default_rng(seed)).case
    model = model_of(bank)
    return assess(bank, case), work_of(bank, model.has, gather(model, case).weight())
