"""What the check sheet asks: always the same first, safety before the test, then by worth, and not too much."""

from __future__ import annotations

from dataclasses import replace
from statistics import median
from typing import Any

import numpy as np
import pytest

from diagnostics.core.asking.engine_sake import for_the_engines_sake
from diagnostics.core.asking.look_ahead import best_of_two_steps
from diagnostics.core.asking.questions import must_ask, next_by_worth, sheet_questions
from diagnostics.core.asking.worth import worth_most
from diagnostics.core.findings import Case, MachineFacts
from diagnostics.core.judging.cells import sums_of
from diagnostics.core.judging.evidence import gather
from diagnostics.core.judging.inference import model_of
from diagnostics.core.judging.routing import route_costs_pence, settled_share
from diagnostics.core.stops import fired_rules
from diagnostics.reads.bank import the_bank
from tests.diagnostics.core.drawn_sheets import draw_sheet, short_sheet
from tests.diagnostics.core.routes import choose_route
from tests.diagnostics.core.small_banks import case_of

ALWAYS = ["trouble", "where", "changed", "nipped", "pinking", "rev_out"]


def in_order(answers: dict[str, Any], machine: MachineFacts | None = None) -> list[str]:
    return [question.id for question in sheet_questions(the_bank(), machine or MachineFacts(), answers)]


def by_worth(answers: dict[str, Any], **more: Any) -> list[str]:
    """Everything answered as given, all else not tried."""
    bank, done = the_bank(), []
    case = case_of(bank, {}, **more)
    while (question := next_by_worth(bank, case, done)) is not None:
        done.append(question.id)
        if question.id in answers:
            case = replace(case, answers={**case.answers, question.id: answers[question.id]})
    return done


def test_in_the_banks_order_every_question_is_asked_once() -> None:
    first_readings = {"strobe_idle": 17.0, "strobe_peak": 12.0}
    assert in_order(first_readings) == [question.id for question in the_bank().questions]


def test_which_ignition_is_fitted_is_asked_once_both_readings_are_there_and_the_curve_is_not_known() -> None:
    readings = {"strobe_idle": 17.0, "strobe_peak": 12.0}
    assert "ignition_curve" not in in_order({"strobe_idle": 17.0})
    assert "ignition_curve" in in_order(readings)
    assert "ignition_curve" not in in_order(readings, MachineFacts(spec_curve="fixed"))


@pytest.mark.parametrize("oiling", ["mixed", "pump"])
def test_how_it_is_oiled_is_asked_only_where_the_machine_does_not_know_it(oiling: str) -> None:
    assert "oiling" in in_order({})
    assert "oiling" not in in_order({}, MachineFacts(oiling=oiling))
    assert "oiling" not in in_order({}, MachineFacts(fires_per_turn=0.5))


def test_how_it_is_oiled_is_asked_just_before_the_petrol() -> None:
    assert by_worth({}, booked="bench")[-3:-1] == ["oiling", "fuel"]
    assert "oiling" not in by_worth({}, booked="bench", machine=MachineFacts(oiling="pump"))


def test_an_automatic_is_not_sent_to_do_what_it_cannot() -> None:
    asked = in_order({}, MachineFacts(gearbox="automatic"))
    assert {"rev_out", "every_gear"}.isdisjoint(asked)


@pytest.mark.parametrize("sign", ["nipped", "pinking"])
def test_a_machine_that_nipped_or_rattles_is_not_sent_to_full_throttle(sign: str) -> None:
    asked = in_order({sign: "yes"})
    assert {"rev_out", "half_choke", "kill_lead", "strobe_peak"}.isdisjoint(asked)
    assert "plug" in asked


def test_the_rev_out_comes_after_the_safety_questions() -> None:
    asked = in_order({})
    assert asked.index("rev_out") > max(asked.index(q) for q in ("changed", "nipped", "pinking"))


def test_every_question_has_words_for_the_owner() -> None:
    for question in sheet_questions(the_bank(), MachineFacts(), {}):
        assert question.ask.endswith("?")
        assert all(choice.say for choice in question.answers)
        assert question.kind != "number" or question.unit


def test_ordered_by_worth_the_same_questions_always_come_first() -> None:
    assert by_worth({})[: len(ALWAYS)] == ALWAYS


def test_one_sign_of_lean_running_brings_the_questions_that_the_rules_need() -> None:
    asked = by_worth({"trouble": "runs-hot", "where": "top"})
    assert asked[: len(ALWAYS) + 3] == [*ALWAYS, "plug", "falls_back", "half_choke"]


def test_a_machine_stopped_by_a_rule_is_asked_no_more_optional_questions() -> None:
    asked = by_worth({"pinking": "yes"})
    assert asked == [q for q in ALWAYS if q != "rev_out"]


def test_a_bench_visit_is_asked_the_first_questions_and_those_for_the_engine_s_safety() -> None:
    assert by_worth({}, booked="bench") == [*ALWAYS, "oiling", "fuel", "plug"]


def test_a_four_stroke_is_not_asked_for_its_mix_for_the_engine_s_sake() -> None:
    """The petrol fires a rule on two-strokes only; it may still be asked for what it tells of the fault."""
    asked = by_worth({}, booked="bench", machine=MachineFacts(fires_per_turn=0.5))
    assert asked == [*ALWAYS, "plug"]


def test_short_sheets_stop_nearly_all_that_full_ones_stop() -> None:
    """Over drawn sheets a short sheet may miss one machine in ten of those that a full one would stop."""
    bank, chance, full_ones, short_ones = the_bank(), np.random.default_rng(11), 0, 0
    for _ in range(300):
        full = draw_sheet(bank, chance).case
        if fired_rules(full):
            full_ones += 1
            short_ones += bool(fired_rules(short_sheet(bank, full)[0]))
    assert full_ones > 40
    assert short_ones >= 0.9 * full_ones


def test_short_sheets_are_short_and_cost_hardly_more_than_full_ones() -> None:
    """Over drawn sheets: 7 to 10 questions in the median, routes at most 3 % dearer than with all answers.

    The cost of a short sheet's route is told by the full sheet's chances. Stopped machines are left out of the costs.
    """
    bank, chance = the_bank(), np.random.default_rng(7)
    asked, short_pence, full_pence = [], 0.0, 0.0
    for _ in range(150):
        full = draw_sheet(bank, chance).case
        short, count = short_sheet(bank, full)
        asked.append(count)
        knows = routed(full)
        if knows.route == "do-not-run":
            continue
        costs = route_costs_pence(full.costs, knows.spoilt_chance, knows.settled_share)
        guessed = routed(short).costs_pence
        full_pence += min(costs.values())
        short_pence += costs[min(guessed, key=lambda route: guessed[route])]
    assert 7 <= median(asked) <= 10
    assert short_pence <= 1.03 * full_pence


def routed(case: Case) -> Any:
    model = model_of(the_bank())
    return choose_route(model, case, gather(model, case).weight())


def must(answers: dict[str, Any], **more: Any) -> list[str]:
    return [question.id for question in must_ask(the_bank(), case_of(the_bank(), answers, **more))]


def test_a_sheet_cannot_be_sent_without_the_first_questions_and_those_for_the_engine_s_safety() -> None:
    lean = ["plug", "falls_back", "half_choke"]
    assert must({}) == ALWAYS
    assert must({"trouble": "runs-hot"}) == [*ALWAYS, *lean]
    assert must({"trouble": "runs-hot", "plug": "tan"}) == [*ALWAYS, *lean]
    assert must({"trouble": "none", "changed": ("exhaust",)}) == [*ALWAYS, *lean[:2]]  # the choke is not asked then
    assert must({"plug": "speckled"}) == [question for question in ALWAYS if question != "rev_out"]
    assert must({}, machine=MachineFacts(gearbox="automatic")) == [q for q in ALWAYS if q != "rev_out"]


def test_what_was_answered_left_unsure_or_not_tried_is_done() -> None:
    bank, case = the_bank(), case_of(the_bank(), {})
    first = next_by_worth(bank, case, ALWAYS[:2])
    assert first is not None
    assert first.id == "changed"
    everything = [question.id for question in bank.questions]
    assert next_by_worth(bank, case, everything) is None
    stopped = case_of(bank, {"nipped": "yes"})
    assert next_by_worth(bank, stopped, ALWAYS) is None
    needed = next_by_worth(bank, stopped, ["trouble"])
    assert needed is not None
    assert needed.id == "where"


def test_after_the_engine_s_sake_the_answer_worth_most_is_asked_then_the_best_of_two() -> None:
    bank = the_bank()
    model, seen = model_of(bank), set[str]()
    for seed in range(6):
        full = draw_sheet(bank, np.random.default_rng(seed)).case
        case = replace(full, answers={q: a for q, a in full.answers.items() if q in ALWAYS}, booked="set-up")
        if fired_rules(case):
            continue
        left_out = frozenset({"fuel", "plug", "falls_back", "half_choke", *ALWAYS})
        done = left_out | frozenset(case.answers)
        asked = replace(case, unsure=done)
        evidence = gather(model, asked)
        [sums] = sums_of(model, evidence.weight()[None])
        one = worth_most(evidence, sums, settled_share(model, asked))
        two = best_of_two_steps(model, asked, evidence)
        wanted = for_the_engines_sake(model, asked, evidence) or (one.question if one is not None else two)
        found = next_by_worth(bank, case, done)
        assert (found.id if found is not None else None) == wanted
        seen.add("one" if one is not None else "two" if two is not None else "none")
    assert len(seen) > 1
