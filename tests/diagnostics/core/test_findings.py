"""Reading a case: what may stand where, and what is said when something else does."""

from __future__ import annotations

import math
from typing import Any

import pytest

from diagnostics.core.findings import MachineFacts, read_case
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
