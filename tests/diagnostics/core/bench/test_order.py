"""The bench's order: published theorem, the reference example, and exhaustive search."""

from __future__ import annotations

import numpy as np
import pytest

from diagnostics.core.arrays import Float64s
from diagnostics.core.assess import assess
from diagnostics.core.bench.order import SOME_CASES, bench_order, bench_orders, expected_minutes, lay_out
from diagnostics.core.bench.work import Bench, bench_of
from diagnostics.core.judging.evidence import gather
from diagnostics.core.judging.inference import fault_chances, model_of, sets_of_faults
from diagnostics.reads.bank import the_bank
from tests.diagnostics.core.drawn_sheets import draw_sheet
from tests.diagnostics.core.random_benches import (
    Instance,
    best_order,
    minutes_in_order,
    of_all_subsets,
    of_every_order,
    random_instance,
)
from tests.diagnostics.core.small_banks import case_of, small_bank
from tests.diagnostics.core.whole_bank import WholeBank


def plain_minutes(bench: Bench, weight: Float64s, order: list[int]) -> float:
    """The slow twin: set by set, step by step, the chance that a fault of the set is left when the step begins."""
    total = 0.0
    minutes = minutes_in_order(bench, order)
    for has, share in zip(bench.has, weight, strict=True):
        held = np.flatnonzero(has)
        for place in range(len(order)):
            none_left = 1.0
            for fault in held:
                left = 1.0
                for step in order[:place]:
                    left *= bench.leaves[step, fault]
                none_left *= 1 - left
            total += share * minutes[place] * (1 - none_left)
    return total


def without_covers(minutes: list[float], leaves: Float64s, has: Float64s) -> Bench:
    return Bench(np.array(minutes, dtype=np.float64), np.full(len(minutes), -1), np.array([]), leaves, has)


def test_with_one_fault_only_falling_chance_per_minute_is_best() -> None:
    """Source: Kadane and Simon 1977; 29.00 by trying all 24 orders outside the project."""
    chances = [0.40, 0.25, 0.20, 0.15]  # plug, coil, leak, jet
    bench = without_covers([5, 30, 15, 20], 1 - np.eye(4), sets_of_faults(4, 1))
    weight = np.array([1 - sum(chances), *chances])
    order = best_order(bench, weight)
    assert order == [0, 2, 1, 3]
    assert expected_minutes(bench, weight, order) == pytest.approx(29.00, abs=1e-9)
    assert expected_minutes(bench, weight, [0, 1, 2, 3]) == pytest.approx(31.25, abs=1e-9)


@pytest.mark.parametrize(
    ("order", "minutes"),
    [("CAB", 21.1087), ("CBA", 22.9253), ("BCA", 29.4074), ("ACB", 33.5344), ("ABC", 41.0968), ("BAC", 42.7122)],
)
def test_the_example_with_several_faults_is_matched(order: str, minutes: float) -> None:
    """Source: brute force outside the project: noisy-OR example, symptom present, costs A 30, B 15, C 5."""
    bench, weight = symptom()
    assert expected_minutes(bench, weight, ["ABC".index(name) for name in order]) == pytest.approx(minutes, abs=5e-5)


def test_the_best_order_of_the_example_is_found_and_given() -> None:
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


def symptom() -> Instance:
    has = sets_of_faults(3, 3)
    prior, link = np.array([0.1, 0.05, 0.2]), np.array([0.8, 0.5, 0.6])
    weight = np.prod(np.where(has > 0, prior, 1 - prior), axis=1) * (
        1 - 0.98 * np.prod(np.where(has > 0, 1 - link, 1), axis=1)
    )
    return without_covers([30, 15, 5], 1 - np.eye(3), has), weight / weight.sum()


@pytest.mark.long
@pytest.mark.parametrize("seed", [1995, 201])
def test_two_hundred_small_instances_agree_with_trying_every_order(seed: int) -> None:
    """Several faults are present at once; the second seed was drawn after the search was made."""
    chance = np.random.default_rng(seed)
    ratios = []
    for _ in range(200):
        bench, weight = random_instance(chance, steps=5, faults=4)
        ratios.append(expected_minutes(bench, weight, best_order(bench, weight)) / of_every_order(bench, weight))
    assert max(ratios) <= 1 + 1e-9


@pytest.mark.long
@pytest.mark.parametrize(("steps", "faults", "seed"), [(9, 6, 9), (9, 6, 202), (12, 7, 203)])
def test_two_hundred_larger_instances_agree_with_the_best_over_all_subsets(steps: int, faults: int, seed: int) -> None:
    chance = np.random.default_rng(seed)
    ratios = []
    for _ in range(200):
        bench, weight = random_instance(chance, steps, faults)
        ratios.append(expected_minutes(bench, weight, best_order(bench, weight)) / of_all_subsets(bench, weight))
    assert min(ratios) >= 1 - 1e-9
    assert max(ratios) <= 1 + 1e-9


@pytest.mark.parametrize("seed", range(10))
def test_the_judge_over_all_subsets_agrees_with_trying_every_order(seed: int) -> None:
    bench, weight = random_instance(np.random.default_rng(seed), steps=6, faults=4)
    assert of_all_subsets(bench, weight) == pytest.approx(of_every_order(bench, weight), abs=1e-9)


def test_the_judge_of_the_whole_bank_agrees_with_the_judge_over_all_subsets() -> None:
    chance = np.random.default_rng(6)
    for _ in range(20):
        bench, weight = random_instance(chance, steps=7, faults=5)
        assert WholeBank(bench).least_minutes(weight) == pytest.approx(of_all_subsets(bench, weight), abs=1e-9)


@pytest.fixture(scope="module")
def whole() -> WholeBank:
    return WholeBank(bench_of(the_bank()))


@pytest.mark.long
@pytest.mark.parametrize("seed", [5, 204])
def test_on_the_whole_bank_the_order_is_within_a_hundredth_of_the_best_there_is(whole: WholeBank, seed: int) -> None:
    model, chance = model_of(the_bank()), np.random.default_rng(seed)
    weights = np.array([gather(model, draw_sheet(the_bank(), chance).case).weight() for _ in range(12)])
    told = bench_orders(model, weights, np.array([fault_chances(model, weight) for weight in weights]))
    ratios = np.array([minutes for _, minutes in told]) / [whole.least_minutes(weight) for weight in weights]
    assert min(ratios) >= 1 - 1e-9
    assert np.mean(ratios) <= 1.001
    assert max(ratios) <= 1.01


def test_a_case_gives_the_same_bits_alone_and_in_a_batch() -> None:
    model, chance = model_of(the_bank()), np.random.default_rng(17)
    weights = np.array([gather(model, draw_sheet(the_bank(), chance).case).weight() for _ in range(70)])
    chances = np.array([fault_chances(model, weight) for weight in weights])
    together = bench_orders(model, weights, chances)
    for at in (0, 7, 63, 64, 69):
        assert bench_order(model, weights[at], chances[at]) == together[at]
    assert bench_orders(model, weights[60:67], chances[60:67]) == together[60:67]


def test_minutes_agree_with_the_slow_twin() -> None:
    chance = np.random.default_rng(5)
    for _ in range(20):
        bench, weight = random_instance(chance, steps=6, faults=4)
        order = best_order(bench, weight)
        assert expected_minutes(bench, weight, order) == pytest.approx(plain_minutes(bench, weight, order), abs=1e-9)


@pytest.mark.parametrize("seed", range(8))
def test_finds_and_expected_minutes_are_sums_over_the_judged_sets(seed: int) -> None:
    judgement, weight = judged(seed)
    bench, do = bench_of(the_bank()), [step.do for step in the_bank().steps]
    order = [do.index(step.do) for step in judgement.bench_order]
    assert judgement.expected_bench_minutes == pytest.approx(expected_minutes(bench, weight, order), abs=1e-9)
    shows_none = np.array([np.prod(np.where(bench.has > 0, bench.leaves[k], 1.0), axis=1) @ weight for k in order])
    assert [step.finds for step in judgement.bench_order] == pytest.approx((1 - shows_none).tolist(), abs=1e-12)
    assert [step.minutes for step in judgement.bench_order] == minutes_in_order(bench, order)


@pytest.mark.parametrize("seed", range(8))
def test_the_steps_given_can_clear_every_fault_and_none_is_listed_twice(seed: int) -> None:
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
    bench, weight = symptom()
    sound: Float64s = np.zeros(len(weight))
    sound[0] = 1.0
    assert expected_minutes(bench, sound, best_order(bench, sound)) == 0


def judged(seed: int):  # type: ignore[no-untyped-def]
    bank = the_bank()
    case = draw_sheet(bank, np.random.default_rng(seed)).case
    return assess(bank, case), gather(model_of(bank), case).weight()


def test_steps_are_laid_out_with_what_is_left_before_each_and_the_cover_where_it_comes_off() -> None:
    """By hand: a step takes a cover off if it is done at all and the first behind it; an idle step takes no minutes."""
    leaves = np.array([[0.5, 1.0], [0.0, 1.0], [0.0, 0.0], [1.0, 0.0]])
    bench = Bench(np.array([1.0, 2.0, 3.0, 4.0]), np.array([0, 1, 0, 1]), np.array([10.0, 20.0]), leaves, np.eye(2))
    laid = lay_out(bench, np.array([[0, 1, 2, 3], [3, 2, 1, 0], [1, 0, 3, 2]]))
    assert laid.before.tolist() == [
        [[1, 1], [0.5, 1], [0, 1], [0, 0]],
        [[1, 1], [1, 0], [0, 0], [0, 0]],
        [[1, 1], [0, 1], [0, 1], [0, 0]],
    ]
    assert laid.can_find.tolist() == [
        [True, True, True, False],
        [True, True, False, False],
        [True, False, True, False],
    ]
    assert laid.minutes.tolist() == [[11, 22, 3, 0], [24, 13, 0, 0], [22, 0, 4, 0]]


def test_many_cases_are_ordered_as_each_alone_beyond_what_is_searched_at_once() -> None:
    shows = {fault: {"yes": link} for fault, link in {"A": 0.8, "B": 0.5, "C": 0.6}.items()}
    questions = {"symptom": ({"no": 0.98, "yes": 0.02}, shows)}
    model = model_of(small_bank({"A": 0.1, "B": 0.05, "C": 0.2}, questions, {"A": 30, "B": 15, "C": 5}))
    weights = np.random.default_rng(5).dirichlet(np.ones(len(model.has)), SOME_CASES + 2)
    chances = weights @ model.has
    together = bench_orders(model, weights, chances)
    assert len(together) == len(weights)
    assert together == [bench_order(model, *one) for one in zip(weights, chances, strict=True)]
    for weight, (order, minutes) in zip(weights[:5], together[:5], strict=True):
        assert [step.do for step in bench_order(model, weight)[0]] == [step.do for step in order]
        assert bench_order(model, weight)[1] == pytest.approx(minutes)
    for (order, minutes), weight in zip(together[-3:], weights[-3:], strict=True):
        steps = [["A", "B", "C"].index(step.do) for step in order]
        assert minutes == pytest.approx(expected_minutes(bench_of(model.bank), weight, steps))
        assert [step.finds for step in order] == pytest.approx([(weight @ model.has)[step] for step in steps])
