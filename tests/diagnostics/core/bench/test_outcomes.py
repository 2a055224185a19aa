"""Outcomes of the bench as evidence: published figures, a general-purpose library, and every set weighed by hand."""

from __future__ import annotations

from dataclasses import replace
from itertools import permutations

import numpy as np
import pytest

from diagnostics.core.arrays import Float64s
from diagnostics.core.bank.bank import Access, Bank, BankStep
from diagnostics.core.bench.outcomes import Found, Left, StepOutcome, certainly_cleared, weight_after, what_is_left
from diagnostics.core.findings import Case
from diagnostics.core.judging.evidence import gather
from diagnostics.core.judging.inference import Model, model_of
from diagnostics.reads.bank import the_bank
from tests.diagnostics.core.agrum_network import agrum_chances_after
from tests.diagnostics.core.drawn_sheets import draw_sheet
from tests.diagnostics.core.small_banks import case_of, small_bank

ASKED = {"symptom": ({"no": 0.98, "yes": 0.02}, {})}  # a bank has at least one question; these examples ask none


def with_steps(bank: Bank, *steps: BankStep) -> Bank:
    return replace(bank, steps=steps)


def test_the_published_printer_example_is_matched() -> None:
    """Source: Vomlel, slides of 11 July 2007 ("light print"): causes .4 .3 .2 .1, one of them for certain; trying
    another toner works with .9 for the first two, so P(it works) = 0.63; a question that says yes for them is answered
    no: the other two are at 2/3 and 1/3. What is left after the toner did not help
    is Bayes' rule by hand: .04, .03, .2, .1 over their sum .37."""
    causes = {"distribution": 0.4, "toner": 0.3, "data": 0.2, "driver": 0.1}
    bank = with_steps(
        small_bank(dict.fromkeys(causes, 0.5), ASKED),
        BankStep("try", "Try another toner", 15, "", {"distribution": 0.9, "toner": 0.9}),
        BankStep("ask", "Ask", 2, "", {"distribution": 1.0, "toner": 1.0}),
    )
    model = model_of(bank)
    log_weight = one_fault_only(model, causes)
    first = {step.id: step.finds for step in (*left(model, log_weight).steps, *left(model, log_weight).others)}
    assert first["try"] == pytest.approx(0.63, abs=1e-12)
    after_no = left(model, log_weight, StepOutcome("ask")).chances
    assert [after_no["data"], after_no["driver"]] == pytest.approx([2 / 3, 1 / 3], abs=1e-12)
    tried = left(model, log_weight, StepOutcome("try")).chances
    assert list(tried.values()) == pytest.approx([0.04 / 0.37, 0.03 / 0.37, 0.2 / 0.37, 0.1 / 0.37], abs=1e-12)


def one_fault_only(model: Model, chances: dict[str, float]) -> Float64s:
    log_weight = np.full(len(model.has), -np.inf)
    for row in np.flatnonzero(model.has.sum(axis=1) == 1):
        log_weight[row] = np.log(chances[model.bank.fault_ids[int(np.argmax(model.has[row]))]])
    return log_weight


def left(model: Model, log_weight: Float64s, *outcomes: StepOutcome) -> Left:
    return what_is_left(model, log_weight, Found(outcomes))


@pytest.mark.parametrize("seed", range(6))
def test_the_whole_bank_after_the_bench_agrees_with_pyagrum(seed: int) -> None:
    """Source: pyAgrum 3, exact inference on the bank's network, with a node for each step that was done."""
    chance = np.random.default_rng(2600 + seed)
    bank, case = the_bank(), some_answers(seed)
    model = model_of(bank)
    found = drawn_outcomes(bank, chance, case)
    mine = what_is_left(model, gather(model, case).log_weight, found).chances
    theirs = agrum_chances_after(bank, case, {o.step: o.fault for o in found.outcomes})
    assert mine == pytest.approx({fault: theirs[fault] for fault in mine}, abs=1e-9)
    before = what_is_left(model, gather(model, case).log_weight, Found()).chances
    assert mine != pytest.approx({fault: before[fault] for fault in mine}, abs=1e-3)


def drawn_outcomes(bank: Bank, chance: np.random.Generator, case: Case) -> Found:
    """Two or three steps, as a set of faults drawn from the posterior would answer them."""
    model = model_of(bank)
    held = model.has[chance.choice(len(model.has), p=gather(model, case).weight())]
    outcomes = []
    for step in chance.choice(np.array(bank.steps, dtype=object), size=int(chance.integers(2, 4)), replace=False):
        shown = [
            fault
            for fault, has in zip(bank.fault_ids, held, strict=True)
            if has and chance.random() < step.clears.get(fault, 0.0)
        ]
        outcomes.append(StepOutcome(step.id, shown[0] if shown else ""))
    return Found(tuple(outcomes))


def some_answers(seed: int) -> Case:
    """Two signs of a drawn sheet, on a machine whose story is told."""
    bank, signs = the_bank(), {"rev_out", "damp", "plug", "new_plug", "heat", "falls_back"}
    drawn = draw_sheet(bank, np.random.default_rng(700 + seed)).case
    answers = {q: drawn.answers[q] for q in [q for q in drawn.answers if q in signs][:2]}
    answers |= {q.id: next(iter(q.share)) for q in bank.questions if q.is_story}
    return case_of(bank, answers, machine=drawn.machine, booked=drawn.booked)  # type: ignore[arg-type]


@pytest.mark.parametrize("seed", range(20))
def test_every_set_weighed_by_hand_gives_the_same(seed: int) -> None:
    """The slow twin: set by set, fault by fault, as the module's first lines say it."""
    chance = np.random.default_rng(seed)
    bank = leaky_bank(chance)
    model = model_of(bank)
    log_weight = np.log(chance.uniform(0.01, 1.0, len(model.has)))
    found = Found(
        outcomes=(StepOutcome("s0"), StepOutcome("s1", next(iter(bank.steps[1].clears)))),
        good=frozenset({"f3"} if chance.random() < 0.5 else ()),
        causes=frozenset({"f2"} if chance.random() < 0.5 else ()),
    )
    assert what_is_left(model, log_weight, found).chances == pytest.approx(by_hand(model, log_weight, found), abs=1e-12)


def leaky_bank(chance: np.random.Generator) -> Bank:
    faults = [f"f{k}" for k in range(4)]
    steps = [
        BankStep(f"s{k}", f"Do {k}", float(chance.uniform(5, 30)), "", {faults[k]: 0.6, faults[(k + 1) % 4]: 0.8})
        for k in range(4)
    ]
    sure = [BankStep(f"sure-{fault}", f"Renew {fault}", 40.0, "", {fault: 1.0}) for fault in faults]
    return with_steps(small_bank(dict.fromkeys(faults, 0.3), ASKED), *steps, *sure)


def by_hand(model: Model, log_weight: Float64s, found: Found) -> dict[str, float]:
    bank, confirmed = model.bank, set(found.causes) | {o.fault for o in found.outcomes if o.fault}
    total, left_there = 0.0, dict.fromkeys(bank.fault_ids, 0.0)
    for has, log in zip(model.has, log_weight, strict=True):
        held = {fault for fault, there in zip(bank.fault_ids, has, strict=True) if there}
        if not confirmed <= held or (held - confirmed) & found.good:
            continue
        weight = float(np.exp(log))
        for outcome in found.outcomes:
            for fault in held - confirmed:
                weight *= 1 - next(s for s in bank.steps if s.id == outcome.step).clears.get(fault, 0.0)
        total += weight
        for fault in held - confirmed:
            left_there[fault] += weight
    return {fault: weight / total for fault, weight in left_there.items() if fault not in confirmed}


def test_minutes_after_a_step_are_those_of_every_order_tried() -> None:
    """A made-up example with several faults (see test_order), its first step OK: by exhaustive search."""
    model, log_weight = symptom()
    assert left(model, log_weight).expected_minutes == pytest.approx(21.1087, abs=5e-5)
    after = left(model, log_weight, StepOutcome("C"))
    assert after.expected_minutes == pytest.approx(cheapest_by_hand(model, log_weight, "C"), abs=1e-9)


def symptom() -> tuple[Model, Float64s]:
    shows = {fault: {"yes": link} for fault, link in {"A": 0.8, "B": 0.5, "C": 0.6}.items()}
    bank = small_bank(
        {"A": 0.1, "B": 0.05, "C": 0.2}, {"symptom": ({"no": 0.98, "yes": 0.02}, shows)}, {"A": 30, "B": 15, "C": 5}
    )
    return model_of(bank), gather(model_of(bank), case_of(bank, {"symptom": "yes"})).log_weight


def cheapest_by_hand(model: Model, log_weight: Float64s, good: str) -> float:
    """Mean minutes until no fault is left, in the best of all orders, over the sets that do not hold the good one."""
    sets = [
        ({f for f, there in zip(model.bank.fault_ids, has, strict=True) if there}, float(np.exp(log)))
        for has, log in zip(model.has, log_weight, strict=True)
    ]
    possible = [(held, weight) for held, weight in sets if good not in held]
    total = sum(weight for _, weight in possible)
    steps = {step.id: step.minutes for step in model.bank.steps if step.id != good}

    def minutes(order: tuple[str, ...], held: set[str]) -> float:
        last = max((place for place, step in enumerate(order) if step in held), default=-1)
        return sum(steps[step] for step in order[: last + 1])

    return min(sum(weight * minutes(order, held) for held, weight in possible) / total for order in permutations(steps))


def test_outcomes_weighed_by_their_chances_give_back_what_was_known_before() -> None:
    """Coherence: over found good and each thing a step may show, the mean of what was there is the chance before."""
    bank, case = the_bank(), some_answers(3)
    model = model_of(bank)
    log_weight = gather(model, case).log_weight
    before = gather(model, case).weight()
    for step in bank.steps:
        if len(step.clears) > 1:
            continue
        ((fault, clears),) = step.clears.items()
        shows = clears * float(before @ model.fault_mask([fault]))
        good = weight_after(model, log_weight, Found((StepOutcome(step.id),)))
        was_it = weight_after(model, log_weight, Found((StepOutcome(step.id, fault),)))
        assert (1 - shows) * good + shows * was_it == pytest.approx(before, abs=1e-12)


def test_parts_already_off_need_not_come_off_again_and_no_step_is_listed_twice() -> None:
    bank, log_weight = the_bank(), log_weight_of({"rev_out": "ceiling"})
    rest = left(model_of(bank), log_weight, StepOutcome("level"), StepOutcome("earths"))
    shown = {step.id: step.minutes for step in rest.steps}
    alone = {step.id: step.minutes for step in bank.steps}
    assert {"level", "earths"}.isdisjoint(shown)
    assert {shown[step] == alone[step] for step in ("key", "pickup", "source-winding")} == {True}


def test_a_step_that_can_find_nothing_more_is_off_the_list() -> None:
    rest = left(model_of(the_bank()), log_weight_of({"rev_out": "dies"}), StepOutcome("float"))
    assert {"choke-and-filter", "flow", "float"}.isdisjoint(step.id for step in (*rest.steps, *rest.others))


def test_this_was_it_leaves_the_other_faults_less_likely_than_found_good_does() -> None:
    """Explaining away: what was found accounts for the answers."""
    log_weight = log_weight_of({"rev_out": "ceiling", "damp": "yes"})
    good = left(model_of(the_bank()), log_weight, StepOutcome("coil"))
    was_it = left(model_of(the_bank()), log_weight, StepOutcome("coil", "ht-side"))
    assert was_it.chances["spark-module"] < good.chances["spark-module"]
    assert was_it.nothing_left > 3 * good.nothing_left
    assert was_it.confirmed == ("ht-side",)
    assert "ht-side" not in was_it.chances


def test_what_was_confirmed_outweighs_what_was_called_good_before() -> None:
    both = Found((StepOutcome("coil"), StepOutcome("plug", "ht-side")), good=frozenset({"ht-side"}))
    rest = what_is_left(model_of(the_bank()), log_weight_of({"rev_out": "ceiling"}), both)
    assert rest.confirmed == ("ht-side",)
    assert 0 < rest.nothing_left < 1


def test_everything_good_and_everything_found_leave_nothing_to_do() -> None:
    bank = the_bank()
    for found in (Found(good=frozenset(bank.fault_ids)), Found(causes=frozenset(bank.fault_ids[:7]))):
        rest = what_is_left(model_of(bank), log_weight_of({"rev_out": "clean"}), found)
        assert (rest.steps, rest.expected_minutes, rest.nothing_left) == ((), 0.0, pytest.approx(1.0))


@pytest.mark.parametrize("seed", range(10))
def test_no_combination_of_outcomes_gives_a_chance_outside_0_to_1(seed: int) -> None:
    bank, chance = the_bank(), np.random.default_rng(seed)
    outcomes = tuple(
        StepOutcome(step.id, str(chance.choice(["", *step.clears])))
        for step in chance.choice(np.array(bank.steps, dtype=object), size=8, replace=False)
    )
    found = Found(
        (*outcomes, StepOutcome("a step of an older edition", "gremlins")), good=frozenset({"air-leak", "gone"})
    )
    rest = what_is_left(model_of(bank), gather(model_of(bank), draw_sheet(bank, chance).case).log_weight, found)
    assert all(0 <= p <= 1 for p in (*rest.chances.values(), rest.nothing_left, *(s.finds for s in rest.steps)))
    assert 0 <= rest.expected_minutes < 10_000


def test_only_what_a_step_shows_for_certain_is_good_for_certain() -> None:
    steps = {step.id: step for step in the_bank().steps}
    assert certainly_cleared(steps["plug"]) == ()
    assert certainly_cleared(steps["coil"]) == ("ht-side",)
    assert certainly_cleared(steps["main-jet"]) == ("main-jet-rich", "main-jet-lean")


def log_weight_of(answers: dict[str, str]) -> Float64s:
    bank = the_bank()
    return gather(model_of(bank), case_of(bank, answers)).log_weight


def test_every_step_left_has_its_minutes_what_it_finds_and_what_it_looks_for() -> None:
    """By hand. Three faults, one of them for certain. `both` would find what `one` and `two` find, dearer, so it is
    left out of the order. With `two` done the cover is off, and `both` has only `a` left to look for."""
    bank = with_steps(
        replace(small_bank(dict.fromkeys("abc", 0.5), ASKED), access={"lid": Access("lid off", 7.0)}),
        BankStep("one", "One", 10, "", {"a": 1.0}),
        BankStep("two", "Two", 10, "lid", {"b": 1.0}),
        BankStep("three", "Three", 10, "", {"c": 1.0}),
        BankStep("both", "Both", 500, "lid", {"a": 0.5, "b": 0.5}),
    )
    model = model_of(bank)
    log_weight = one_fault_only(model, {"a": 0.5, "b": 0.3, "c": 0.2})
    now = left(model, log_weight)
    assert [(s.id, s.do, s.minutes, s.looks_for) for s in now.steps] == [
        ("one", "One", 10.0, ("a",)),
        ("three", "Three", 10.0, ("c",)),
        ("two", "Two", 17.0, ("b",)),
    ]
    assert [s.finds for s in now.steps] == pytest.approx([0.5, 0.2, 0.3])
    [other] = now.others
    assert (other.id, other.do, other.minutes, other.looks_for) == ("both", "Both", 507.0, ("a", "b"))
    assert other.finds == pytest.approx(0.5 * 0.8)
    assert now.expected_minutes == pytest.approx(10 + 0.5 * 10 + 0.3 * 17)
    assert (now.confirmed, now.nothing_left) == ((), 0.0)
    after = left(model, log_weight, StepOutcome("two"))
    assert [s.id for s in after.steps] == ["one", "three"]
    [other] = after.others
    assert (other.minutes, other.looks_for, other.finds) == (500.0, ("a",), pytest.approx(0.5 * 0.5 / 0.7))
    assert after.chances == pytest.approx({"a": 5 / 7, "b": 0.0, "c": 2 / 7})


def test_confirmed_faults_come_in_the_bank_s_order_from_hand_and_from_steps() -> None:
    bank = the_bank()
    outcomes = (StepOutcome("coil", "ht-side"), StepOutcome("float"), StepOutcome("x", "gremlins"))
    found = Found(outcomes, causes=frozenset({"spark-module", "gone"}))
    assert found.confirmed(bank) == ("spark-module", "ht-side")


def test_more_confirmed_faults_than_the_model_allows_keep_the_sets_with_most_of_them() -> None:
    bank = small_bank(dict.fromkeys("abc", 0.5), ASKED)
    model = model_of(replace(bank, most_at_once=2))
    weight = weight_after(model, np.zeros(len(model.has)), Found(causes=frozenset("abc")))
    assert weight == pytest.approx([0, 0, 0, 0, 1 / 3, 1 / 3, 1 / 3])
