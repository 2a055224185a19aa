"""The rev-out and the clip are one test seen twice."""

from __future__ import annotations

import math

import pytest

from diagnostics.core.assess import assess
from diagnostics.core.findings import ClipVerdict, MachineFacts
from diagnostics.core.judging.inference import model_of
from diagnostics.core.judging.routing import settled_share
from diagnostics.reads.bank import the_bank
from tests.diagnostics.core.small_banks import case_of

KNOWN = MachineFacts(design_rpm=9000.0)
BREAKS = ClipVerdict("breaks-down", 0.95, 6000.0, 6200.0)
REVS = ClipVerdict("revs-out", 0.95, None, 9000.0)


def ignition_log_odds(
    answers: dict[str, str], heard: ClipVerdict | None = None, machine: MachineFacts = KNOWN
) -> float:
    chance = assess(the_bank(), case_of(the_bank(), answers, heard=heard, machine=machine)).groups["ignition"]
    return math.log(chance / (1 - chance))


def moved(answers: dict[str, str], heard: ClipVerdict | None = None, machine: MachineFacts = KNOWN) -> float:
    return ignition_log_odds(answers, heard, machine) - ignition_log_odds({}, None, machine)


@pytest.mark.parametrize(("word", "heard"), [("ceiling", BREAKS), ("clean", REVS)])
def test_word_and_clip_together_weigh_little_more_than_the_stronger_of_the_two(word: str, heard: ClipVerdict) -> None:
    word_alone, clip_alone = moved({"rev_out": word}), moved({}, heard)
    together = moved({"rev_out": word}, heard)
    better = max(abs(word_alone), abs(clip_alone))
    assert better <= abs(together) <= 1.25 * better
    assert abs(together) < abs(word_alone) + abs(clip_alone)


def test_word_and_clip_that_contradict_each_other_nearly_cancel() -> None:
    assert abs(moved({"rev_out": "clean"}, BREAKS)) < 0.6 * moved({}, BREAKS)


@pytest.mark.parametrize("word", ["clean", "smoky", "ceiling"])
def test_a_strong_contradiction_of_word_and_clip_is_rung_about(word: str) -> None:
    heard = REVS if word == "ceiling" else BREAKS
    case = case_of(the_bank(), {"rev_out": word}, heard=heard, machine=KNOWN)
    assert assess(the_bank(), case).route == "phone-first"
    assert settled_share(model_of(the_bank()), case) > the_bank().routing.settled_by_call


def test_a_clip_weighs_by_its_confidence() -> None:
    weights = [moved({}, ClipVerdict("breaks-down", c, 6000.0)) for c in (0.3, 0.5, 0.6, 0.8, 0.95)]
    assert weights[0] == weights[1] == 0
    assert weights == sorted(weights)
    assert weights[2] > 0


def test_an_unclear_clip_weighs_nothing() -> None:
    assert moved({}, ClipVerdict("unclear", 0.99)) == 0


@pytest.mark.parametrize("ceiling", [8550.0, 9000.0, 9500.0])
def test_a_ceiling_at_the_machines_own_speed_is_its_limiter(ceiling: float) -> None:
    """From 95 % of the design speed on it speaks no more for ignition than a clip that revs out."""
    limiter = moved({}, ClipVerdict("breaks-down", 0.95, ceiling))
    assert limiter == pytest.approx(moved({}, REVS), abs=0.02)


def test_between_the_limits_a_ceiling_turns_into_a_limiter_by_degrees() -> None:
    weights = [
        moved({}, ClipVerdict("breaks-down", 0.95, share * 9000)) for share in (0.85, 0.899, 0.91, 0.925, 0.94, 0.951)
    ]
    assert weights[0] == pytest.approx(weights[1])
    assert weights[1:] == sorted(weights[1:], reverse=True)


def test_without_a_design_speed_a_heard_ceiling_counts_about_half() -> None:
    full = moved({}, ClipVerdict("breaks-down", 0.95, 6000.0))
    half = moved({}, ClipVerdict("breaks-down", 0.95, 6000.0), MachineFacts())
    assert 0.3 * full < half < 0.7 * full


def test_the_owners_word_keeps_its_weight_whatever_the_design_speed() -> None:
    assert moved({"rev_out": "ceiling"}) == pytest.approx(moved({"rev_out": "ceiling"}, None, MachineFacts()))


@pytest.mark.parametrize("fault", ["ht-side", "fuel-starved", "clutch-slip", "earth-or-wiring"])
def test_a_clean_rev_out_says_little_against_what_needs_load_or_time(fault: str) -> None:
    before = assess(the_bank(), case_of(the_bank(), {})).chances
    after = assess(the_bank(), case_of(the_bank(), {"rev_out": "clean"})).chances

    def log_odds_moved(name: str) -> float:
        return math.log(after[name] / (1 - after[name])) - math.log(before[name] / (1 - before[name]))

    assert log_odds_moved(fault) > -0.5
    assert log_odds_moved(fault) > log_odds_moved("spark-module") + 0.4
