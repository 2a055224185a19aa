"""The rev-out and the clip are one test seen twice."""

from __future__ import annotations

import math
from typing import Any

import pytest

from diagnostics.core.assess import assess
from diagnostics.core.findings import ClipVerdict, MachineFacts
from diagnostics.core.judging.evidence import (
    Evidence,
    gather,
    heard_of,
    rev_out_chances,
    story_factors,
    story_of,
    strobe_factors,
)
from diagnostics.core.judging.inference import model_of
from diagnostics.core.judging.routing import settled_share
from diagnostics.core.judging.strobe_chances import combinations_of
from diagnostics.reads.bank import the_bank
from tests.diagnostics.core.small_banks import case_of, small_bank

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


STORY = {"changed": ("exhaust", "jets-bigger"), "came_on": "slowly"}
READ = {"strobe_idle": 16.0, "strobe_peak": 15.5}
FIXED = MachineFacts(spec_btdc=17.0, spec_curve="fixed", design_rpm=9000.0)


def evidence_of(answers: dict[str, Any], **more: Any) -> Evidence:
    return gather(model_of(the_bank()), case_of(the_bank(), answers, **more))


def test_everything_that_changed_the_weights_is_named_signs_first_then_clip_story_and_readings() -> None:
    found = evidence_of(STORY | READ | {"damp": "no", "rev_out": "clean"}, heard=REVS, machine=FIXED)
    assert found.labels() == (
        "damp=no",
        "rev_out=clean+heard=revs-out",
        "changed=exhaust",
        "changed=jets-bigger",
        "came_on=slowly",
        "strobe_idle=16",
        "strobe_peak=15.5",
    )
    assert evidence_of({"rev_out": "clean"}).labels() == ("rev_out=clean",)
    assert evidence_of({}, heard=REVS, machine=FIXED).labels() == ("heard=revs-out",)
    assert evidence_of({}, heard=ClipVerdict("unclear", 0.9)).labels() == ()
    assert evidence_of({"strobe_peak": 15.5}, machine=FIXED).labels() == ("strobe_peak=15.5",)
    assert evidence_of(READ).labels() == ("strobe_idle=16", "strobe_peak=15.5")  # without a spec by their drift


def test_the_chances_add_up_to_one_and_cannot_be_written_to() -> None:
    weight = evidence_of(STORY).weight()
    assert weight.sum() == pytest.approx(1.0)
    with pytest.raises(ValueError, match="read-only"):
        weight[0] = 1.0


def test_leaving_a_part_of_the_story_out_gives_the_weights_of_the_case_without_it() -> None:
    """Up to one factor for all sets: an answer of which there may be several has no share of its own."""
    model, whole = model_of(the_bank()), evidence_of(STORY)
    found = story_factors(model, frozenset({"set-up"}), story_of(model, whole.case))
    assert found.labels == ("changed=exhaust", "changed=jets-bigger", "came_on=slowly")
    lefts = [STORY | {"changed": ("jets-bigger",)}, STORY | {"changed": ("exhaust",)}, {"changed": STORY["changed"]}]
    for undo, left in zip(found.undo, lefts, strict=True):
        weight = whole.weight() * undo
        assert weight / weight.sum() == pytest.approx(evidence_of(left).weight(), abs=1e-12)
    assert story_factors(model, frozenset({"set-up"}), {}).undo.shape == (0, len(model.has))


@pytest.mark.parametrize("answers", [READ, {"strobe_idle": 16.0}, {"strobe_peak": 15.5}])
def test_leaving_a_reading_out_gives_the_weights_of_the_case_without_it(answers: dict[str, float]) -> None:
    whole = evidence_of(answers, machine=FIXED)
    found = strobe_factors(whole)
    assert found.labels == tuple(f"{question}={read:g}" for question, read in answers.items())
    for undo, question in zip(found.undo, answers, strict=True):
        weight = whole.weight() * undo.take(combinations_of(whole.model))
        left = {other: read for other, read in answers.items() if other != question}
        assert weight / weight.sum() == pytest.approx(evidence_of(left, machine=FIXED).weight(), abs=1e-12)


def test_without_a_reading_there_is_nothing_to_leave_out() -> None:
    found = strobe_factors(evidence_of({}))
    assert (found.labels, found.undo.shape) == ((), (0, combinations_of(model_of(the_bank())).max() + 1))


def test_only_answers_about_what_was_changed_and_how_it_came_are_the_story() -> None:
    model = model_of(the_bank())
    case = case_of(the_bank(), {"damp": "no", "came_on": "slowly", "changed": ("exhaust",)})
    assert story_of(model, case) == {"changed": ("exhaust",), "came_on": ("slowly",)}
    assert story_of(model, case_of(the_bank(), {"changed": "exhaust"})) == {"changed": ("exhaust",)}
    assert story_of(model, case_of(the_bank(), {"changed": 3.0})) == {}


def test_word_and_clip_each_report_what_the_test_showed_with_their_own_errors() -> None:
    """For each set of faults the sum over what may have been shown: its chance, the word's and the clip's."""
    model, question = model_of(the_bank()), the_bank().question("rev_out")
    clip = heard_of(model, case_of(the_bank(), {}, heard=BREAKS, machine=KNOWN))
    assert clip is not None
    shown = model.shown["rev_out"]
    word = [question.said[one]["clean"] for one in question.answer_ids]
    both = sum(c * w * row for c, w, row in zip(clip, word, shown, strict=True))
    assert rev_out_chances(model, "clean", clip) == pytest.approx(both)
    assert rev_out_chances(model, None, clip) == pytest.approx(clip @ shown)
    assert rev_out_chances(model, "clean", None) == pytest.approx(model.chance[model.row["rev_out", "clean"]])
    assert rev_out_chances(model, None, None) == pytest.approx(1.0)


def test_a_clip_is_not_heard_where_there_is_none_or_the_bank_knows_no_rev_out() -> None:
    model = model_of(the_bank())
    assert heard_of(model, case_of(the_bank(), {})) is None
    small = small_bank({"a": 0.1}, {"sign": ({"no": 0.9, "yes": 0.1}, {"a": {"yes": 0.5}})})
    assert heard_of(model_of(small), case_of(small, {}, heard=REVS)) is None


def test_an_answer_of_a_question_that_takes_several_is_no_sign() -> None:
    assert evidence_of({"damp": ("no",), "gone": "yes"}).labels() == ()  # type: ignore[dict-item]
    assert evidence_of({"rev_out": ("clean",)}, heard=REVS, machine=FIXED).labels() == ("heard=revs-out",)
