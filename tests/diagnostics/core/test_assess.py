"""A whole judgement: its keys, its bounds, and that nothing an owner can answer breaks it."""

from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnostics.core.asking.worth import ask_next, is_open
from diagnostics.core.assess import assess
from diagnostics.core.bench.footing import ANY_MACHINE
from diagnostics.core.bench.order import best_order
from diagnostics.core.bench.steps_told import steps_told
from diagnostics.core.findings import ClipVerdict, MachineFacts, read_case
from diagnostics.core.judging.cautions import cautions_of
from diagnostics.core.judging.cells import sums_of
from diagnostics.core.judging.evidence import gather
from diagnostics.core.judging.inference import model_of
from diagnostics.core.judging.reasons import reasons
from diagnostics.core.judging.routing import route_by
from diagnostics.core.remarks import REMARKS
from diagnostics.core.telling.assess_lines import assess_line
from diagnostics.core.telling.judgement_words import CAUTION_WORDS
from diagnostics.reads.bank import the_bank
from tests.diagnostics.core.small_banks import case_of

BANK = the_bank()
KEYS = [
    "case",
    "route",
    "why",
    "chances",
    "groups",
    "because",
    "ask_next",
    "bench_order",
    "expected_bench_minutes",
    "cautions",
]
DEGREES = st.floats(-10, 60, allow_nan=False)


def answers() -> st.SearchStrategy[dict[str, Any]]:
    """Any answer to any question, several changes, unsure, and both strobe readings anywhere they may be."""
    one: dict[str, st.SearchStrategy[Any]] = {}
    for question in BANK.questions:
        choices = [st.sampled_from(question.answer_ids), st.just("unsure")] if question.answers else [DEGREES]
        if question.kind == "several":
            others = [answer for answer in question.answer_ids if answer != question.nothing]
            choices.append(st.lists(st.sampled_from(others), min_size=1, unique=True))
        one[question.id] = st.one_of(choices)
    return st.fixed_dictionaries({}, optional=one)


def machines() -> st.SearchStrategy[dict[str, Any]]:
    return st.fixed_dictionaries(
        {},
        optional={
            "fires_per_turn": st.sampled_from([1, 2, 0.5]),
            "gearbox": st.sampled_from(["geared", "automatic"]),
            "ignition": st.sampled_from(["electronic", "points"]),
            "fed_by": st.sampled_from(["magneto", "battery"]),
            "spec_btdc": DEGREES,
            "spec_curve": st.sampled_from(["fixed", "retarding", "advancing"]),
            "curve_deg": st.floats(0, 60),
            "design_rpm": st.floats(1, 20_000),
            "oiling": st.sampled_from(["mixed", "pump"]),
            "tap": st.sampled_from(["gravity", "vacuum"]),
        },
    )


def clips() -> st.SearchStrategy[dict[str, Any] | None]:
    return st.one_of(
        st.none(),
        st.fixed_dictionaries(
            {"verdict": st.sampled_from(["revs-out", "breaks-down", "unclear"]), "confidence": st.floats(0, 1)},
            optional={"ceiling_rpm": st.floats(0, 20_000), "peak_rpm": st.floats(0, 20_000)},
        ),
    )


@settings(max_examples=100, deadline=None)
@given(
    answered=answers(),
    machine=machines(),
    heard=clips(),
    booked=st.sampled_from(["set-up", "power-run", "bench"]),
    costs=st.fixed_dictionaries({}, optional={k: st.integers(0, 10**9) for k in ("slot_lost", "bench_check", "call")}),
    remarks=st.lists(st.sampled_from(REMARKS)),
)
def test_no_combination_of_answers_breaks_it_or_gives_a_chance_outside_0_to_1(
    answered: dict[str, Any],
    machine: dict[str, Any],
    heard: dict[str, Any] | None,
    booked: str,
    costs: dict[str, int],
    remarks: list[str],
) -> None:
    line = {"case": "any", "machine": machine, "booked": booked, "answers": answered, "heard": heard, "costs": costs}
    line |= {"remarks": remarks}
    case = read_case(BANK, line)
    out = assess_line(assess(BANK, case))
    assert list(out) == KEYS
    json.dumps(out, allow_nan=False)
    assert all(0 <= chance <= 1 for chance in [*out["chances"].values(), *out["groups"].values()])
    for group in ("ignition", "fuel-air", "mechanical"):
        inside = [out["chances"][fault.id] for fault in BANK.faults if fault.group == group]
        assert max(inside) - 1e-9 <= out["groups"][group] <= sum(inside) + 1e-9
    assert all(0 <= step["finds"] <= 1 and step["minutes"] > 0 for step in out["bench_order"])
    assert out["expected_bench_minutes"] >= 0
    assert all(abs(reason["weight"]) > 0.1 for reason in out["because"])
    if out["route"] == "do-not-run" or booked == "bench":
        assert out["ask_next"] is None
    if out["route"] == "phone-first":
        assert out["ask_next"] is not None or not any(is_open(question, case) for question in BANK.questions)
    if out["route"] == "roller-ready":
        assert not remarks
        assert case.answers
        assert heard is None or heard["verdict"] != "breaks-down" or heard["confidence"] < 0.8
    assert out["route"] == "do-not-run" or "leaks-petrol" not in remarks


def test_the_same_case_gives_the_same_judgement_to_the_last_digit() -> None:
    line = {"case": "a", "booked": "set-up", "answers": {"trouble": "bogs", "plug": "white", "strobe_idle": 16.5}}
    first, second = (json.dumps(assess_line(assess(BANK, read_case(BANK, line)))) for _ in range(2))
    assert first == second


def test_every_fault_has_a_chance_and_every_group_too() -> None:
    judgement = assess(BANK, case_of(BANK, {}))
    assert tuple(judgement.chances) == BANK.fault_ids
    assert tuple(judgement.groups) == ("ignition", "fuel-air", "mechanical", "nothing-wrong")
    assert judgement.edition == BANK.edition


def caution_words(answered: dict[str, Any], **more: Any) -> str:
    return " ".join(CAUTION_WORDS[caution] for caution in assess(BANK, case_of(BANK, answered, **more)).cautions)


@pytest.mark.parametrize(
    ("answered", "more", "words"),
    [
        pytest.param({"rev_out": "ceiling"}, {}, "smaller jets", id="ignition likeliest"),
        pytest.param({"nipped": "yes"}, {}, "trailer", id="stopped"),
        pytest.param({"fuel": "wrong-mix"}, {}, "Drain", id="wrong mix"),
        pytest.param({}, {"remarks": ("leaks-petrol",)}, "Tap off", id="leaking petrol"),
        pytest.param({}, {"machine": MachineFacts(fires_per_turn=0.5)}, "two-strokes", id="four-stroke"),
        pytest.param({}, {"machine": MachineFacts(gearbox="automatic")}, "neutral", id="automatic"),
        pytest.param({}, {"heard": ClipVerdict("breaks-down", 0.9, 8000.0)}, "limiter", id="no design speed"),
        pytest.param(
            {"rev_out": "smoky", "came_on": "slowly", "changed": ("nothing",), "plug": "black-wet"},
            {},
            "float",
            id="rich otherwise",
        ),
    ],
)
def test_a_caution_is_given_where_it_applies(answered: dict[str, Any], more: dict[str, Any], words: str) -> None:
    assert words in caution_words(answered, **more)


def test_a_limiter_is_not_warned_of_where_the_speed_is_known() -> None:
    heard = ClipVerdict("breaks-down", 0.9, 6000.0)
    assert "limiter" not in caution_words({}, heard=heard, machine=MachineFacts(design_rpm=9000.0))


# What a tuner knows: each answer moves the fault's log odds the way told, against the machine with no answers.
# Common practice, no source.
TOWARDS = [
    ("plug", "black-wet", ["main-jet-rich", "rich-otherwise", "ht-side", "crank-seal"], ["main-jet-lean", "air-leak"]),
    ("new_plug", "better", ["ht-side", "main-jet-rich", "rich-otherwise"], ["clutch-slip"]),
    ("heat", "worse-hot", ["spark-module", "source-coil", "pickup-coil", "air-leak"], ["idle-circuit"]),
    ("kill_lead", "better", ["earth-or-wiring"], []),
    ("hot_start", "only-cooled", ["spark-module", "source-coil", "pickup-coil"], ["main-jet-lean"]),
    ("trouble", "four-strokes", ["main-jet-rich", "spark-module", "pickup-coil", "ht-side"], ["clutch-slip"]),
    ("rev_out", "dies", ["fuel-starved", "air-leak", "main-jet-lean"], []),
    ("falls_back", "hangs", ["air-leak", "idle-circuit"], []),
    ("came_on", "suddenly", ["spark-module", "earth-or-wiring", "flywheel-key"], ["exhaust-choked"]),
    ("came_on", "slowly", ["exhaust-choked", "low-compression", "rich-otherwise"], ["flywheel-key"]),
    ("came_on", "after-work", ["timing-set-wrong", "pickup-misaligned", "idle-circuit"], ["exhaust-choked"]),
]


@pytest.mark.parametrize(("question", "answer", "up", "down"), TOWARDS)
def test_an_answer_is_evidence_for_and_against_as_a_tuner_says(
    question: str, answer: str, up: list[str], down: list[str]
) -> None:
    before = assess(BANK, case_of(BANK, {})).chances
    after = assess(BANK, case_of(BANK, {question: answer})).chances
    assert all(after[fault] > before[fault] for fault in up)
    assert all(after[fault] < before[fault] for fault in down)


def test_an_engine_that_dies_on_the_stand_is_fuel_or_an_air_leak_more_than_spark() -> None:
    groups = assess(BANK, case_of(BANK, {"rev_out": "dies"})).groups
    assert groups["fuel-air"] > groups["ignition"]


def test_every_part_of_a_judgement_is_that_of_the_case_and_the_bank() -> None:
    """The parts have tests of their own: here each stands in its place."""
    case = case_of(BANK, {"rev_out": "ceiling"}, case="17", booked="power-run")
    evidence = gather(model_of(BANK), case)
    [sums] = sums_of(model_of(BANK), evidence.weight()[None])
    route = route_by(model_of(BANK), case, sums.odds("power-run"))
    found = assess(BANK, case)
    assert (found.case, found.edition, found.route, found.why) == ("17", BANK.edition, route.route, route.why)
    assert found.chances == dict(zip(BANK.fault_ids, sums.fault_chances().tolist(), strict=True))
    assert found.groups == sums.group_chances()
    assert found.because == reasons(evidence, sums)
    assert found.ask_next == ask_next(evidence, sums, route)
    order = best_order(model_of(BANK), evidence.weight(), sums.fault_chances())
    told = steps_told(BANK, order, sums.fault_chances().tolist(), ANY_MACHINE)
    assert (found.bench_order, found.expected_bench_minutes) == (told, order.minutes)
    assert found.cautions == cautions_of(BANK, case, route, found.chances, found.groups)
    assert (found.spoilt_chance, found.route_costs_pence) == (route.spoilt_chance, route.costs_pence)
