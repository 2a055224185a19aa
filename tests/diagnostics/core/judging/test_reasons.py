"""`because` is what leaving the answer out would undo: checked by leaving it out of the case itself."""

from __future__ import annotations

import math

import numpy as np
import pytest

from diagnostics.core.assess import assess, assess_many
from diagnostics.core.findings import Case, ClipVerdict, MachineFacts
from diagnostics.reads.bank import the_bank
from tests.diagnostics.core.drawn_sheets import draw_sheet
from tests.diagnostics.core.small_banks import case_of


def log_odds(case: Case) -> dict[str, float]:
    groups = assess(the_bank(), case).groups
    return {group: math.log(chance) - math.log1p(-chance) for group, chance in groups.items()}


@pytest.mark.parametrize("seed", range(6))
def test_each_reason_is_the_change_of_log_odds_when_it_is_left_out(seed: int) -> None:
    bank = the_bank()
    case = draw_sheet(bank, np.random.default_rng(seed)).case
    said = {reason.answer: reason for reason in assess(bank, case).because}
    whole = log_odds(case)
    for question, answer in case.answers.items():
        if isinstance(answer, tuple) and len(answer) > 1:
            continue
        without = log_odds(case.without(question))
        moved = {group: whole[group] - without[group] for group in whole}
        most = max(moved, key=lambda group: abs(moved[group]))
        label = f"{question}={answer if isinstance(answer, str) else answer[0]}"  # type: ignore[index]
        if abs(moved[most]) > 0.1 + 1e-9:
            assert said[label].towards == most
            assert said[label].weight == pytest.approx(moved[most], abs=1e-6)
        else:
            assert label not in said


def test_reasons_come_strongest_first_and_none_is_under_a_tenth() -> None:
    case = draw_sheet(the_bank(), np.random.default_rng(99)).case
    weights = [abs(reason.weight) for reason in assess(the_bank(), case).because]
    assert weights == sorted(weights, reverse=True)
    assert all(weight > 0.1 for weight in weights)


def test_word_and_clip_are_left_out_together_as_one_reason() -> None:
    heard = ClipVerdict("breaks-down", 0.95, 6000.0)
    case = case_of(the_bank(), {"rev_out": "ceiling"}, heard=heard, machine=MachineFacts(design_rpm=9000.0))
    assert [reason.answer for reason in assess(the_bank(), case).because] == ["rev_out=ceiling+heard=breaks-down"]


def test_a_clip_alone_and_a_reading_are_named_by_their_value() -> None:
    heard = case_of(
        the_bank(), {}, heard=ClipVerdict("breaks-down", 0.95, 6000.0), machine=MachineFacts(design_rpm=9000.0)
    )
    assert [reason.answer for reason in assess(the_bank(), heard).because] == ["heard=breaks-down"]
    strobe = case_of(the_bank(), {"strobe_peak": 19.5}, machine=MachineFacts(spec_btdc=17.0))
    assert [reason.answer for reason in assess(the_bank(), strobe).because] == ["strobe_peak=19.5"]


def test_each_of_several_changes_is_left_out_on_its_own() -> None:
    both = case_of(the_bank(), {"changed": ("jets-smaller", "air-filter")})
    one = case_of(the_bank(), {"changed": ("air-filter",)})
    said = {reason.answer: reason for reason in assess(the_bank(), both).because}
    group = said["changed=jets-smaller"].towards
    assert said["changed=jets-smaller"].weight == pytest.approx(log_odds(both)[group] - log_odds(one)[group], abs=1e-6)


def test_without_answers_there_are_no_reasons() -> None:
    assert assess(the_bank(), case_of(the_bank(), {})).because == ()


# What a tuner knows: the group an answer speaks for, with the complaint it comes with. Common practice, no source.
SPEAKS_FOR = [
    ({"trouble": "down-on-power", "rev_out": "ceiling"}, "every_gear", "same-revs", "ignition"),
    ({"trouble": "bogs", "rev_out": "ceiling"}, "every_gear", "same-revs", "ignition"),
    ({"trouble": "slips"}, "every_gear", "only-under-load", "mechanical"),
    ({"trouble": "misfires"}, "damp", "yes", "ignition"),
    ({"trouble": "cuts-out"}, "kill_lead", "better", "ignition"),
    ({"trouble": "cuts-out"}, "earths", "loose-or-dirty", "ignition"),
    ({"trouble": "hard-to-start"}, "hot_start", "only-cooled", "ignition"),
    ({"trouble": "surges"}, "falls_back", "hangs", "fuel-air"),
    ({"trouble": "bogs"}, "half_choke", "better", "fuel-air"),
    ({"trouble": "bogs"}, "fuel", "old", "fuel-air"),
    ({"trouble": "bogs"}, "stood", "months", "fuel-air"),
    ({"trouble": "down-on-power"}, "plug", "white", "fuel-air"),
    ({"trouble": "down-on-power"}, "kick", "weak", "mechanical"),
    ({"trouble": "down-on-power"}, "rebuilt", "far", "mechanical"),
    ({"trouble": "down-on-power"}, "rev_out", "clean", "nothing-wrong"),
]


@pytest.mark.parametrize(("told", "question", "answer", "group"), SPEAKS_FOR)
def test_an_answer_speaks_for_the_group_that_the_trade_puts_it_to(
    told: dict[str, str], question: str, answer: str, group: str
) -> None:
    case = case_of(the_bank(), told | {question: answer})
    assert f"{question}={answer}" in [reason.answer for reason in assess(the_bank(), case).because]
    assert log_odds(case)[group] > log_odds(case.without(question))[group] + 0.1


COMPLAINTS = [answer.id for answer in the_bank().question("trouble").answers if answer.id not in ("none", "slips")]


@pytest.mark.parametrize("complaint", COMPLAINTS)
def test_the_same_revs_in_every_gear_speaks_for_the_spark_whatever_the_complaint_was_called(complaint: str) -> None:
    told = {"trouble": complaint, "where": "top"}
    plain, same = (log_odds(case_of(the_bank(), told | more)) for more in ({}, {"every_gear": "same-revs"}))
    loaded = log_odds(case_of(the_bank(), told | {"every_gear": "only-under-load"}))
    moved = {group: same[group] - plain[group] for group in ("ignition", "fuel-air", "mechanical")}
    assert moved["ignition"] == max(moved.values()) > 0.1
    assert loaded["ignition"] < plain["ignition"]


@pytest.mark.parametrize("fault", ["fuel-starved", "main-jet-lean", "jet-blocked", "low-compression", "clutch-slip"])
def test_only_under_load_speaks_for_fuel_compression_and_clutch(fault: str) -> None:
    told = {"trouble": "down-on-power", "where": "top"}
    plain, loaded = (assess(the_bank(), case_of(the_bank(), told | more)).chances[fault] for more in ({}, LOADED))
    assert loaded > 1.2 * plain


LOADED = {"every_gear": "only-under-load"}
NEVER_AGAINST = {
    "kill_lead=better": "ignition",
    "earths=loose-or-dirty": "ignition",
    "damp=yes": "ignition",
    "falls_back=hangs": "fuel-air",
    "kick=weak": "mechanical",
    "every_gear=same-revs": "ignition",
    "rev_out=ceiling": "ignition",
    "fuel_flow=weak": "fuel-air",
}


@pytest.mark.parametrize("seed", range(4))
def test_whatever_else_is_told_a_sign_of_a_group_never_speaks_against_it(seed: int) -> None:
    bank, chance = the_bank(), np.random.default_rng([seed, 77])
    for judgement in assess_many(bank, [draw_sheet(bank, chance).case for _ in range(60)]):
        for reason in judgement.because:
            assert NEVER_AGAINST.get(reason.answer) != reason.towards or reason.weight > 0, reason
