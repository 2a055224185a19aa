"""Reading a case: what may stand where, and what is said when something else does."""

from __future__ import annotations

import math
from typing import Any

import pytest

from diagnostics.core.findings import ClipVerdict, Costs, MachineFacts, read_case, said
from diagnostics.reads.bank import the_bank
from garage.core.errors import BadInput

GOOD: dict[str, Any] = {"case": "a", "booked": "set-up", "answers": {"trouble": "bogs"}}


def read(**more: Any) -> Any:
    return read_case(the_bank(), GOOD | more)


@pytest.mark.parametrize(
    ("more", "where"),
    [
        ({"case": None}, "case"),
        ({"case": 3}, "case"),
        ({"booked": None}, "booked"),
        ({"booked": "valeting"}, "booked"),
        ({"answers": {"trouble": "explodes"}}, "answers.trouble"),
        ({"answers": {"trouble": ["bogs", "misfires"]}}, "answers.trouble"),
        ({"answers": {"trouble": ["bogs"]}}, "answers.trouble"),
        ({"answers": {"trouble": 3}}, "answers.trouble"),
        ({"answers": {"trouble": {"bogs": True}}}, "answers.trouble"),
        ({"answers": {"changed": ["nothing", "exhaust"]}}, "answers.changed"),
        ({"answers": {"changed": ["exhaust", "unsure"]}}, "answers.changed"),
        ({"answers": {"changed": [["exhaust"]]}}, "answers.changed"),
        ({"answers": {"strobe_idle": 400}}, "answers.strobe_idle"),
        ({"answers": {"strobe_idle": math.nan}}, "answers.strobe_idle"),
        ({"answers": {"strobe_idle": math.inf}}, "answers.strobe_idle"),
        ({"answers": {"strobe_idle": 10**400}}, "answers.strobe_idle"),
        ({"answers": {"strobe_idle": "17"}}, "answers.strobe_idle"),
        ({"answers": {"strobe_idle": True}}, "answers.strobe_idle"),
        ({"answers": [1]}, "answers"),
        ({"machine": {"fires_per_turn": 3}}, "machine.fires_per_turn"),
        ({"machine": {"fires_per_turn": 0}}, "machine.fires_per_turn"),
        ({"machine": {"gearbox": "dsg"}}, "machine.gearbox"),
        ({"machine": {"oiling": "premix"}}, "machine.oiling"),
        ({"machine": {"tap": "none"}}, "machine.tap"),
        ({"remarks": "leaks-petrol"}, "remarks"),
        ({"remarks": ["it-smells"]}, "remarks"),
        ({"remarks": ["leaks-petrol", 3]}, "remarks"),
        ({"remarks": {"leaks-petrol": True}}, "remarks"),
        ({"machine": {"design_rpm": 0}}, "machine.design_rpm"),
        ({"machine": {"design_rpm": -1}}, "machine.design_rpm"),
        ({"machine": {"spec_btdc": 400}}, "machine.spec_btdc"),
        ({"machine": {"spec_curve": "wavy"}}, "machine.spec_curve"),
        ({"machine": {"curve_deg": -1}}, "machine.curve_deg"),
        ({"machine": "fast"}, "machine"),
        ({"heard": {"verdict": "loud", "confidence": 1}}, "heard.verdict"),
        ({"heard": {"verdict": "revs-out", "confidence": 1.5}}, "heard.confidence"),
        ({"heard": {"verdict": "revs-out"}}, "heard.confidence"),
        ({"heard": {"verdict": "revs-out", "confidence": 1, "ceiling_rpm": "high"}}, "heard.ceiling_rpm"),
        ({"costs": {"slot_lost": -1}}, "costs.slot_lost"),
        ({"costs": {"call": 1.5}}, "costs.call"),
        ({"costs": {"call": 10**12}}, "costs.call"),
    ],
)
def test_unusable_input_is_named(more: dict[str, Any], where: str) -> None:
    with pytest.raises(BadInput) as refused:
        read(**more)
    assert refused.value.where == where


def test_an_unknown_answer_is_refused_with_the_allowed_ones() -> None:
    with pytest.raises(BadInput, match=r"none, .*cuts-out or unsure"):
        read(answers={"trouble": "explodes"})


def test_optional_values_may_be_missing_or_null() -> None:
    plain = read()
    nulls = read(machine=None, heard=None, costs=None)
    assert plain.machine == nulls.machine == MachineFacts()
    assert (plain.costs.slot_lost, plain.costs.bench_check, plain.costs.call, plain.costs.bench_minute) == (
        9000,
        2500,
        600,
        75,
    )
    assert read(answers=None).answers == {}


def test_unknown_keys_and_questions_are_ignored() -> None:
    case = read(colour="red", answers={"trouble": "bogs", "moon": "full"}, machine={"wheels": 2})
    assert dict(case.answers) == {"trouble": "bogs"}


def test_changed_may_be_one_id_or_a_list_of_them() -> None:
    assert read(answers={"changed": "exhaust"}).answers["changed"] == ("exhaust",)
    both = read(answers={"changed": ["air-filter", "exhaust", "exhaust"]}).answers["changed"]
    assert both == ("exhaust", "air-filter")


def test_unsure_is_asked_but_no_answer() -> None:
    case = read(answers={"trouble": "unsure", "changed": "unsure", "strobe_idle": "unsure"})
    assert dict(case.answers) == {}
    assert case.unsure == {"trouble", "changed", "strobe_idle"}


BTDC = "degrees BTDC from -10 to 60"
SPEED, HEARD_SPEED, PENCE = "a speed in rpm above 0", "a speed in rpm, or null", "whole pence, 0 or more"
FIRES = "1, 2 or 0.5"
LOUD = {"verdict": "revs-out", "confidence": 0.9}


@pytest.mark.parametrize(
    ("more", "found", "allowed"),
    [
        ({"case": 3}, 3, "any string"),
        ({"booked": "valeting"}, "valeting", "one of set-up, power-run, bench"),
        ({"answers": [1]}, [1], "an object in curly brackets"),
        ({"answers": {"nipped": "often"}}, "often", "one of no, yes or unsure"),
        ({"answers": {"strobe_idle": 61}}, 61, f"{BTDC}, or unsure"),
        ({"answers": {"changed": ["nothing", "exhaust"]}}, "exhaust, nothing", "nothing only by itself"),
        ({"machine": {"fires_per_turn": 3}}, 3, FIRES),
        ({"machine": {"fires_per_turn": -1}}, -1, FIRES),
        ({"machine": {"fires_per_turn": "1"}}, "1", FIRES),
        ({"machine": {"design_rpm": 0}}, 0, SPEED),
        ({"machine": {"design_rpm": -1}}, -1, SPEED),
        ({"machine": {"design_rpm": 100_001}}, 100_001, SPEED),
        ({"machine": {"gearbox": "dsg"}}, "dsg", "one of geared, automatic"),
        ({"machine": {"ignition": "dsg"}}, "dsg", "one of electronic, points"),
        ({"machine": {"fed_by": "dsg"}}, "dsg", "one of magneto, battery"),
        ({"machine": {"spec_btdc": 60.1}}, 60.1, BTDC),
        ({"machine": {"spec_btdc": -10.1}}, -10.1, BTDC),
        ({"machine": {"spec_curve": "wavy"}}, "wavy", "one of fixed, retarding, advancing"),
        ({"machine": {"curve_deg": -0.1}}, -0.1, "degrees from 0 to 60"),
        ({"machine": {"curve_deg": 60.1}}, 60.1, "degrees from 0 to 60"),
        ({"heard": {"verdict": "loud"}}, "loud", "one of revs-out, breaks-down, unclear"),
        ({"heard": LOUD | {"confidence": 1.1}}, 1.1, "a number from 0 to 1"),
        ({"heard": LOUD | {"confidence": -0.1}}, -0.1, "a number from 0 to 1"),
        ({"heard": LOUD | {"ceiling_rpm": -1}}, -1, HEARD_SPEED),
        ({"heard": LOUD | {"ceiling_rpm": 100_001}}, 100_001, HEARD_SPEED),
        ({"heard": LOUD | {"peak_rpm": -1}}, -1, HEARD_SPEED),
        ({"heard": LOUD | {"peak_rpm": 100_001}}, 100_001, HEARD_SPEED),
        ({"costs": {"bench_minute": -1}}, -1, PENCE),
        ({"costs": {"call": 1.5}}, 1.5, PENCE),
        ({"costs": {"slot_lost": 10**9 + 1}}, 10**9 + 1, PENCE),
        ({"machine": "fast"}, "fast", "an object in curly brackets"),
        ({"heard": "loud"}, "loud", "an object in curly brackets"),
        ({"costs": 3}, 3, "an object in curly brackets"),
    ],
)
def test_what_was_found_is_said_beside_what_is_allowed(more: dict[str, Any], found: object, allowed: str) -> None:
    with pytest.raises(BadInput) as refused:
        read(**more)
    assert (refused.value.found, refused.value.allowed) == (found, allowed)
    outer, inner = next(iter(more.items()))
    key = f"{outer}.{list(inner)[-1]}" if isinstance(inner, dict) else outer
    assert refused.value.where == key


def test_where_several_may_be_named_unsure_stands_only_by_itself() -> None:
    with pytest.raises(BadInput) as refused:
        read(answers={"changed": ["exhaust", "unsure"]})
    assert (refused.value.found, refused.value.allowed.rpartition("; ")[2]) == ("unsure", "unsure only by itself")
    assert read(answers={"changed": ["unsure"]}).unsure == {"changed"}
    assert read(answers={"changed": []}).unsure == frozenset()


@pytest.mark.parametrize(
    ("machine", "facts"),
    [
        ({"fires_per_turn": 2, "gearbox": "automatic"}, MachineFacts(fires_per_turn=2.0, gearbox="automatic")),
        ({"fires_per_turn": 0.5, "ignition": "points"}, MachineFacts(fires_per_turn=0.5, ignition="points")),
        ({"fires_per_turn": 1, "fed_by": "battery"}, MachineFacts(fed_by="battery")),
        (
            {"spec_btdc": -10, "spec_curve": "retarding", "curve_deg": 0, "design_rpm": 100_000},
            MachineFacts(spec_btdc=-10.0, spec_curve="retarding", curve_deg=0.0, design_rpm=100_000.0),
        ),
        ({"spec_btdc": 60, "curve_deg": 60}, MachineFacts(spec_btdc=60.0, curve_deg=60.0)),
        ({"design_rpm": 0.5}, MachineFacts(design_rpm=0.5)),
    ],
)
def test_a_machine_is_read_as_it_was_given_up_to_each_limit(machine: dict[str, Any], facts: MachineFacts) -> None:
    assert read(machine=machine).machine == facts


@pytest.mark.parametrize("degrees", [-10, 17.5, 60])
def test_a_reading_is_a_number_up_to_each_limit(degrees: float) -> None:
    found = read(answers={"strobe_peak": degrees}).answers["strobe_peak"]
    assert (found, type(found)) == (degrees, float)


@pytest.mark.parametrize(("confidence", "ceiling", "peak"), [(0, 0, 100_000), (1, 100_000, 0), (0.4, None, None)])
def test_a_clip_is_read_as_it_was_given_up_to_each_limit(
    confidence: float, ceiling: float | None, peak: float | None
) -> None:
    given = {"verdict": "unclear", "confidence": confidence, "ceiling_rpm": ceiling, "peak_rpm": peak}
    assert read(heard=given).heard == ClipVerdict("unclear", confidence, ceiling, peak)


def test_costs_are_whole_pence_and_may_be_nothing_or_ten_million_pounds() -> None:
    given = {"slot_lost": 0, "bench_check": 10**9, "call": 7.0}
    assert read(costs=given).costs == Costs(0, 10**9, 7, 75)


def test_a_case_keeps_its_name_its_booking_and_its_plain_answers() -> None:
    case = read_case(the_bank(), {"case": "17", "booked": "power-run", "answers": {"damp": "no", "heat": None}})
    assert (case.case, case.booked, dict(case.answers), case.unsure) == ("17", "power-run", {"damp": "no"}, frozenset())
    assert case.heard is None


def test_answers_are_kept_in_the_bank_s_order_after_an_unsure_one_too() -> None:
    case = read(answers={"damp": "no", "heat": "unsure", "trouble": "bogs", "nipped": None})
    assert list(case.answers) == ["trouble", "damp"]
    assert case.unsure == {"heat"}


def test_an_answer_is_taken_only_as_what_it_is() -> None:
    case = read(answers={"changed": ["exhaust"], "strobe_idle": 17, "damp": "no"})
    assert (case.several("changed"), case.several("damp"), case.several("heat")) == (("exhaust",), (), ())
    assert (case.number("strobe_idle"), case.number("damp"), case.number("heat")) == (17.0, None, None)


def test_without_one_question_all_else_of_a_case_stays() -> None:
    case = read(
        booked="power-run",
        answers={"damp": "no", "trouble": "bogs", "heat": "unsure", "plug": "unsure"},
        machine={"gearbox": "automatic"},
        costs={"call": 5},
        heard=LOUD,
    )
    less = case.without("damp")
    assert dict(less.answers) == {"trouble": "bogs"}
    assert (less.unsure, case.without("heat").unsure) == ({"heat", "plug"}, {"plug"})
    assert (less.case, less.machine, less.booked) == (case.case, case.machine, case.booked)
    assert (less.costs, less.heard) == (case.costs, case.heard)
    assert "damp" in case.answers


@pytest.mark.parametrize(
    ("facts", "traits"),
    [
        (MachineFacts(), set()),
        (MachineFacts(ignition="points"), {"points"}),
        (MachineFacts(fed_by="battery"), {"battery"}),
        (MachineFacts(gearbox="automatic", fires_per_turn=2.0), {"automatic"}),
        (MachineFacts(fires_per_turn=0.5), {"four-stroke"}),
    ],
)
def test_the_bank_has_a_name_for_each_kind_of_machine(facts: MachineFacts, traits: set[str]) -> None:
    assert facts.traits == traits
    assert facts.is_four_stroke == ("four-stroke" in traits)


def test_several_answers_are_said_with_commas() -> None:
    assert said(("exhaust", "air-filter")) == "exhaust,air-filter"
    assert said(-3.0) == "-3"


def test_remarks_are_kept_once_each_in_the_manuals_order() -> None:
    assert read(remarks=["no-exhaust", "leaks-petrol", "no-exhaust"]).remarks == ("leaks-petrol", "no-exhaust")
    assert read(remarks=None).remarks == read().remarks == read(remarks=[]).remarks == ()


def test_null_and_missing_answers_are_no_answers() -> None:
    for answers in (None, {}, {"trouble": None}):
        assert read_case(the_bank(), {"case": "a", "booked": "set-up", "answers": answers}).answers == {}
    assert read_case(the_bank(), {"case": "a", "booked": "set-up"}).answers == {}


def test_a_weak_flow_from_a_vacuum_tap_was_asked_and_carries_no_weight() -> None:
    weak = {"answers": {"fuel_flow": "weak", "where": "top"}}
    case = read(machine={"tap": "vacuum"}, **weak)
    assert (case.answers, case.unsure) == ({"where": "top"}, {"fuel_flow"})
    assert read(machine={"tap": "gravity"}, **weak).answers["fuel_flow"] == "weak"
    assert read(machine={"tap": "vacuum"}, answers={"fuel_flow": "steady"}).answers == {"fuel_flow": "steady"}


def test_an_answer_says_what_machine_it_is_where_the_machine_does_not_know() -> None:
    told = {"answers": {"oiling": "pump", "ignition_curve": "retarding"}}
    assert (read(**told).machine.oiling, read(**told).machine.spec_curve) == ("pump", "retarding")
    known = read(**told, machine={"oiling": "mixed", "spec_curve": "fixed"}).machine
    assert (known.oiling, known.spec_curve) == ("mixed", "fixed")
    assert read(answers={"oiling": "unsure"}).machine.oiling is None
