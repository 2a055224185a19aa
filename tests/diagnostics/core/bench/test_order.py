"""The bench's order: published theorem, the reference example, and exhaustive search."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise, permutations

import numpy as np
import pytest

from diagnostics.core.arrays import Float64s
from diagnostics.core.assess import assess
from diagnostics.core.bank.bank import Bank, BankStep
from diagnostics.core.bench.footing import ANY_MACHINE, BARRED, FIRST, OnTheBench, repair_of, turn_of
from diagnostics.core.bench.order import SOME_CASES, BestOrder, best_order, best_orders_of, expected_minutes, lay_out
from diagnostics.core.bench.steps_told import SHOWS_WELL
from diagnostics.core.bench.work import Bench, bench_of
from diagnostics.core.findings import Case, MachineFacts
from diagnostics.core.judging.evidence import gather
from diagnostics.core.judging.inference import fault_chances, model_of, sets_of_faults
from diagnostics.reads.bank import the_bank
from tests.diagnostics.core.drawn_sheets import draw_sheet
from tests.diagnostics.core.random_benches import (
    Instance,
    best_steps,
    minutes_in_order,
    of_all_subsets,
    of_every_order,
    random_instance,
)
from tests.diagnostics.core.small_banks import case_of, small_bank
from tests.diagnostics.core.whole_bank import WholeBank, with_faults

MECHANICAL = ("exhaust-choked", "low-compression", "head-gasket")


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
    order = best_steps(bench, weight)
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
        ratios.append(expected_minutes(bench, weight, best_steps(bench, weight)) / of_every_order(bench, weight))
    assert max(ratios) <= 1 + 1e-9


@pytest.mark.long
@pytest.mark.parametrize(("steps", "faults", "seed"), [(9, 6, 9), (9, 6, 202), (12, 7, 203)])
def test_two_hundred_larger_instances_agree_with_the_best_over_all_subsets(steps: int, faults: int, seed: int) -> None:
    chance = np.random.default_rng(seed)
    ratios = []
    for _ in range(200):
        bench, weight = random_instance(chance, steps, faults)
        ratios.append(expected_minutes(bench, weight, best_steps(bench, weight)) / of_all_subsets(bench, weight))
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
def some_faults() -> Bank:
    """The bank's ignition, exhaust and compression: few enough to look at everything that may be done."""
    return with_faults(the_bank(), lambda fault: fault.group == "ignition" or fault.id in MECHANICAL)


@pytest.fixture(scope="module")
def whole(some_faults: Bank) -> WholeBank:
    return WholeBank(bench_of(some_faults))


@pytest.mark.long
@pytest.mark.parametrize("seed", [5, 204])
def test_on_much_of_the_bank_the_order_is_within_a_hundredth_of_the_best_there_is(
    some_faults: Bank, whole: WholeBank, seed: int
) -> None:
    model, chance = model_of(some_faults), np.random.default_rng(seed)
    weights = np.array([gather(model, draw_sheet(some_faults, chance).case).weight() for _ in range(12)])
    told = best_orders_of(model, weights, np.array([fault_chances(model, weight) for weight in weights]))
    ratios = np.array([minutes_of_tests(some_faults, *pair) for pair in zip(told, weights, strict=True)])
    ratios /= [whole.least_minutes(weight) for weight in weights]
    assert min(ratios) >= 1 - 1e-9
    assert np.mean(ratios) <= 1.002
    assert max(ratios) <= 1.01


def minutes_of_tests(bank: Bank, order: BestOrder, weight: Float64s) -> float:
    """Expected minutes without those of repairs."""
    return expected_minutes(bench_of(bank), weight, [placed.step for placed in order.placed])


def test_a_case_gives_the_same_bits_alone_and_in_a_batch() -> None:
    model, chance = model_of(the_bank()), np.random.default_rng(17)
    weights = np.array([gather(model, draw_sheet(the_bank(), chance).case).weight() for _ in range(70)])
    chances = np.array([fault_chances(model, weight) for weight in weights])
    together = best_orders_of(model, weights, chances)
    for at in (0, 7, 63, 64, 69):
        assert best_order(model, weights[at], chances[at]) == together[at]
    assert best_orders_of(model, weights[60:67], chances[60:67]) == together[60:67]


def test_minutes_agree_with_the_slow_twin() -> None:
    chance = np.random.default_rng(5)
    for _ in range(20):
        bench, weight = random_instance(chance, steps=6, faults=4)
        order = best_steps(bench, weight)
        assert expected_minutes(bench, weight, order) == pytest.approx(plain_minutes(bench, weight, order), abs=1e-9)


@pytest.mark.parametrize("seed", range(8))
def test_finds_and_expected_minutes_are_sums_over_the_judged_sets(seed: int) -> None:
    """A repair is done once for each fault that is present, whatever shows it: its minutes times the fault's chance."""
    bank = the_bank()
    model, case = model_of(bank), drawn(seed)
    bench, weight = bench_of(bank), gather(model, case).weight()
    order = best_order(model, weight, standing=OnTheBench(case.machine.traits))
    steps = [placed.step for placed in order.placed]
    repairs = sum(
        float(weight @ model.fault_mask([fault])) * repair_of(repair, OnTheBench(case.machine.traits))[1]
        for fault, repair in bank.repairs.items()
    )
    assert order.minutes == pytest.approx(expected_minutes(bench, weight, steps) + repairs, abs=1e-9)
    shows_none = np.array([np.prod(np.where(bench.has > 0, bench.leaves[k], 1.0), axis=1) @ weight for k in steps])
    assert [placed.finds for placed in order.placed] == pytest.approx((1 - shows_none).tolist(), abs=1e-12)
    assert [placed.minutes for placed in order.placed] == minutes_in_order(bench, steps)


@pytest.mark.parametrize("seed", range(8))
def test_what_is_left_out_costs_a_machine_nothing_by_the_slow_count(seed: int) -> None:
    """Drawn machines, step by step: minutes until the last fault is shown, and each fault's repair once."""
    bank, chance = the_bank(), np.random.default_rng(seed)
    model, case = model_of(bank), drawn(seed)
    weight = gather(model, case).weight()
    order = best_order(model, weight, standing=OnTheBench(case.machine.traits))
    took = []
    for has in model.has[chance.choice(len(weight), size=4000, p=weight)]:
        took.append(0.0)
        to_show = {fault for fault, there in zip(bank.fault_ids, has, strict=True) if there}
        for placed in order.placed:
            if not to_show:
                break
            took[-1] += placed.minutes
            shown = {f for f in to_show if chance.random() < bank.steps[placed.step].clears.get(f, 0.0)}
            took[-1] += sum(repair_of(bank.repairs[fault], OnTheBench(case.machine.traits))[1] for fault in shown)
            to_show -= shown
    error = float(np.std(took)) / len(took) ** 0.5
    assert np.mean(took) == pytest.approx(order.minutes, abs=4 * error)


@pytest.mark.parametrize("seed", range(8))
def test_the_tests_and_repairs_given_can_clear_every_fault_and_none_is_listed_twice(seed: int) -> None:
    bank, case = the_bank(), drawn(seed)
    judgement = assess(bank, case)
    told, standing = [step.do for step in judgement.bench_order], OnTheBench(case.machine.traits, judgement.stops)
    assert len(set(told)) == len(told)
    order = best_order(model_of(bank), gather(model_of(bank), case).weight(), standing=standing)
    shown = {f for placed in order.placed for f, chance in bank.steps[placed.step].clears.items() if chance == 1}
    assert shown == set(bank.fault_ids)
    for fault, repair in bank.repairs.items():
        do, _ = repair_of(repair, standing)
        assert sum(line.lower().endswith(do.lower()) for line in told) == 1, fault


def test_a_repair_follows_the_first_test_that_shows_its_fault_well() -> None:
    bank = the_bank()
    told = assess(bank, case_of(bank, {"rev_out": "ceiling"})).bench_order
    by_words = {step.do: step for step in bank.steps}
    seen: set[str] = set()
    for line, following in pairwise(told):
        step = by_words.get(line.do.rpartition(" off. ")[2])
        if step is None:
            continue
        new = [fault for fault, chance in step.clears.items() if chance >= SHOWS_WELL and fault not in seen]
        seen |= set(new)
        assert following.do.startswith("If that is it: ") == bool(new)


def test_what_must_come_off_is_counted_once_and_said_with_the_first_that_needs_it() -> None:
    bank, case = the_bank(), drawn(3)
    order = best_order(model_of(bank), gather(model_of(bank), case).weight(), standing=OnTheBench(case.machine.traits))
    open_covers: set[str] = set()
    for placed in order.placed:
        step = bank.steps[placed.step]
        opens = bool(step.access) and step.access not in open_covers
        assert placed.opens == opens
        assert placed.minutes == step.minutes + (bank.access_minutes[step.access] if opens else 0)
        open_covers.add(step.access)


STOPPED = {
    "nipped": {"nipped": "yes"},
    "wrong mix": {"fuel": "wrong-mix"},
    "specks": {"plug": "speckled"},
    "rattle": {"pinking": "yes"},
    "lean": {"changed": ("jets-smaller",), "plug": "white"},
    "advances": {"strobe_idle": 14.0, "strobe_peak": 19.5},
}


@pytest.mark.parametrize(
    ("why", "first"),
    [
        ("nipped", "Compression with the gauge"),
        ("wrong mix", "Drain tank and bowl"),
        ("specks", "Compression with the gauge"),
        ("rattle", "Compression with the gauge"),
        ("lean", "Compression with the gauge"),
        ("advances", "Cover and flywheel off. Measure the pickup against the flywheel magnets"),
    ],
)
def test_a_machine_that_must_not_be_run_is_made_safe_first(why: str, first: str) -> None:
    judgement = assess(the_bank(), case_of(the_bank(), STOPPED[why]))
    assert judgement.route == "do-not-run"
    assert judgement.bench_order[0].do.startswith(first)


@pytest.mark.parametrize("why", STOPPED)
def test_while_it_must_not_be_run_nothing_opens_the_throttle_and_all_can_still_be_found(why: str) -> None:
    bank = the_bank()
    judgement = assess(bank, case_of(bank, STOPPED[why]))
    told = " ".join(step.do for step in judgement.bench_order)
    assert not any(step.do in told for step in bank.steps if step.opens_throttle)
    assert "rev it out" not in told
    assert "strobe" not in told.lower()
    left = [step for step in bank.steps if step.do in told]
    assert {fault for step in left for fault, chance in step.clears.items() if chance == 1} == set(bank.fault_ids)


@pytest.mark.parametrize("why", STOPPED)
def test_what_makes_it_safe_comes_before_everything_else_in_the_banks_order(why: str) -> None:
    bank = the_bank()
    model, case = model_of(bank), case_of(bank, STOPPED[why])
    standing = OnTheBench(stops=assess(bank, case).stops)
    steps = [placed.step for placed in best_order(model, gather(model, case).weight(), standing=standing).placed]
    turns = [turn_of(bank.steps[step], standing) for step in steps]
    first = [step for step, turn in zip(steps, turns, strict=True) if turn == FIRST]
    assert turns == sorted(turns)
    assert first == sorted(first)
    assert BARRED not in turns


def test_the_order_of_the_rest_is_the_best_one_after_what_makes_it_safe() -> None:
    """By trying all orders of the rest, on few steps."""
    bank = few_steps()
    model, case = model_of(bank), case_of(bank, {"symptom": "yes"})
    weight = gather(model, case).weight()
    standing = OnTheBench(stops=("symptom=yes",))
    order = best_order(model, weight, standing=standing)
    assert order.placed[0].step == SAFE
    rest = [step for step in range(len(bank.steps)) if step not in (SAFE, HARD)]
    bench = bench_of(bank)
    best = min(expected_minutes(bench, weight, [SAFE, *some]) for some in permutations(rest))
    assert order.minutes == pytest.approx(best, abs=1e-9)


SAFE, HARD = 3, 4


def few_steps() -> Bank:
    """Three faults with a test each, a dear one that makes it safe, and a quick one that opens the throttle."""
    shows = {fault: {"yes": link} for fault, link in {"A": 0.8, "B": 0.5, "C": 0.6}.items()}
    bank = small_bank(
        {"A": 0.1, "B": 0.05, "C": 0.2}, {"symptom": ({"no": 0.98, "yes": 0.02}, shows)}, {"A": 30, "B": 15, "C": 5}
    )
    safe = BankStep("safe", "Drain it", 60, "", {"B": 0.5}, makes_safe=("symptom",))
    hard = BankStep("hard", "Rev it out", 1, "", {"A": 0.9, "C": 0.9}, opens_throttle=True)
    return replace(bank, steps=(*bank.steps, safe, hard))


@pytest.mark.parametrize("fault", ["pickup-coil", "pickup-misaligned", "flywheel-key"])
def test_after_pickup_level_or_key_the_timing_is_set_again(fault: str) -> None:
    do, minutes = repair_of(the_bank().repairs[fault], ANY_MACHINE)
    assert "set the timing again" in do
    assert minutes > the_bank().repairs[fault].minutes


def test_every_repair_is_followed_by_its_own_test_or_needs_none() -> None:
    without = {fault for fault, repair in the_bank().repairs.items() if repair.retest is None}
    assert set(the_bank().repairs) == set(the_bank().fault_ids)
    assert without == {"oil-pump"}


def test_a_good_part_put_in_for_a_try_is_told_apart_from_fitting_the_new_one() -> None:
    told = [step.do for step in assess(the_bank(), case_of(the_bank(), {"rev_out": "ceiling"})).bench_order]
    tried = next(at for at, do in enumerate(told) if do.startswith("Try a known good ignition unit: a test only"))
    fitted = next(at for at, do in enumerate(told) if "fit the new ignition unit, then rev it out again" in do)
    assert tried < fitted


def test_points_and_condenser_have_their_own_minutes() -> None:
    repair = the_bank().repairs["spark-module"]
    assert repair_of(repair, OnTheBench(frozenset({"points"})))[1] == 35 + 3


def test_a_belt_cover_comes_off_on_an_automatic_only() -> None:
    bank = the_bank()
    for gearbox, is_there in (("automatic", True), ("geared", False)):
        case = case_of(bank, {"trouble": "slips"}, machine=MachineFacts(gearbox=gearbox))
        assert any(step.do.startswith("Belt cover off") for step in assess(bank, case).bench_order) == is_there


def test_a_sound_machine_counts_no_minutes() -> None:
    bench, weight = symptom()
    sound: Float64s = np.zeros(len(weight))
    sound[0] = 1.0
    assert expected_minutes(bench, sound, best_steps(bench, sound)) == 0


def drawn(seed: int) -> Case:
    return draw_sheet(the_bank(), np.random.default_rng(seed)).case


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
    assert laid.opens.tolist() == [[True, True, False, False], [True, True, False, False], [True, False, False, False]]


def test_many_cases_are_ordered_as_each_alone_beyond_what_is_searched_at_once() -> None:
    shows = {fault: {"yes": link} for fault, link in {"A": 0.8, "B": 0.5, "C": 0.6}.items()}
    questions = {"symptom": ({"no": 0.98, "yes": 0.02}, shows)}
    model = model_of(small_bank({"A": 0.1, "B": 0.05, "C": 0.2}, questions, {"A": 30, "B": 15, "C": 5}))
    weights = np.random.default_rng(5).dirichlet(np.ones(len(model.has)), SOME_CASES + 2)
    chances = weights @ model.has
    together = best_orders_of(model, weights, chances)
    assert len(together) == len(weights)
    assert together == [best_order(model, *one) for one in zip(weights, chances, strict=True)]
    for order, weight in zip(together[-3:], weights[-3:], strict=True):
        steps = [placed.step for placed in order.placed]
        assert order.minutes == pytest.approx(expected_minutes(bench_of(model.bank), weight, steps))
        assert [placed.finds for placed in order.placed] == pytest.approx(
            [(weight @ model.has)[step] for step in steps]
        )
