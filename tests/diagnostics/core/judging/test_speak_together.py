"""Answers that speak together: definition against a case judged by hand, and the trade's own examples."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from diagnostics.core.bank.bank import Bank
from diagnostics.core.findings import Case, ClipVerdict, MachineFacts
from diagnostics.core.judging.evidence import gather
from diagnostics.core.judging.inference import model_of
from diagnostics.core.judging.speak_together import (
    ADD_UP,
    SAY_THE_SAME,
    STRENGTHEN,
    Together,
    contradictions,
    speak_together,
)
from diagnostics.core.telling.together_words import contradiction_words, together_words
from diagnostics.reads.bank import the_bank
from tests.diagnostics.core.drawn_sheets import draw_sheet
from tests.diagnostics.core.small_banks import case_of, small_bank

DAMP, NEW_PLUG = "damp=yes", "new_plug=better"


def together(case: Case) -> tuple[Together, ...]:
    return speak_together(gather(model_of(the_bank()), case))


def test_damp_and_a_new_plug_speak_together_for_the_high_tension_side() -> None:
    """Common practice, no source."""
    (group,) = together(case_of(the_bank(), {"damp": "yes", "new_plug": "better"}))
    assert set(group.answers) == {DAMP, NEW_PLUG}
    assert group.faults == ("ht-side",)
    faults, words = together_words(the_bank(), group)
    assert faults == "the high-tension side: plug, cap, lead or coil"
    assert f"point to it together: {group.chance * 100:.0f}% with them, {group.without * 100:.0f}% without." in words


@pytest.mark.parametrize("seed", range(6))
def test_the_chances_shown_are_those_with_and_without_the_answers(seed: int) -> None:
    bank = the_bank()
    model, case = model_of(bank), draw_sheet(bank, np.random.default_rng(40 + seed)).case
    for group in together(case):
        named = {part.partition("=")[0] for label in group.answers for part in label.split("+")}
        kept = {q: a for q, a in case.answers.items() if q not in named or (isinstance(a, tuple) and len(a) > 1)}
        mask = model.fault_mask(group.faults)
        if len(kept) + len(named) != len(case.answers):
            continue  # one of several changes was left out, the others stay
        without = case_of(bank, kept, machine=case.machine, booked=case.booked)  # type: ignore[arg-type]
        assert group.chance == pytest.approx(float(gather(model, case).weight() @ mask), abs=1e-9)
        assert group.without == pytest.approx(float(gather(model, without).weight() @ mask), abs=1e-9)


def test_two_signs_of_one_fault_combine_exactly_by_bayes() -> None:
    """One fault, two independent signs: the log odds are a sum (Good 1950; from memory)."""
    bank = small_bank({"A": 0.1}, {"p": sign({"A": 0.6}), "q": sign({"A": 0.7})})
    (group,) = speak_together(gather(model_of(bank), case_of(bank, {"p": "yes", "q": "yes"})))
    odds = 0.1 / 0.9 * (1 - 0.4 * 0.9) / 0.1 * (1 - 0.3 * 0.9) / 0.1
    assert group.chance == pytest.approx(odds / (1 + odds), abs=1e-12)
    assert (group.without, group.how) == (pytest.approx(0.1, abs=1e-12), ADD_UP)


def test_two_readings_that_only_together_show_a_climb_make_each_other_stronger() -> None:
    """Either reading alone may be a plate set wrong; a drift needs both. Common practice, no source."""
    first = together(case_of(the_bank(), {"strobe_idle": 14.0, "strobe_peak": 19.5}))[0]
    assert (set(first.answers), first.how) == ({"strobe_idle=14", "strobe_peak=19.5"}, STRENGTHEN)
    assert first.faults[0] == "pickup-misaligned"


def test_what_another_fault_would_show_too_is_in_part_said_twice() -> None:
    """P and Q come from A or from D, R from A alone: once P is known, Q tells little more of A."""
    both = sign({"A": 0.9, "D": 0.9}, 0.02)
    bank = small_bank({"A": 0.1, "D": 0.1}, {"p": both, "q": both, "r": sign({"A": 0.6}, 0.2)})
    case = case_of(bank, dict.fromkeys(("p", "q", "r"), "yes"))
    first = speak_together(gather(model_of(bank), case))[0]
    assert (set(first.answers), first.faults, first.how) == ({"p=yes", "q=yes", "r=yes"}, ("A",), SAY_THE_SAME)
    odds = [log_odds(chance_of_a(bank, left)) for left in (("p", "q", "r"), ("q", "r"), ("p", "r"), ("p", "q"), ())]
    assert odds[0] - odds[4] > 1.25 * sum(odds[0] - one for one in odds[1:4])


def sign(shows: dict[str, float], background: float = 0.1) -> tuple[dict[str, float], dict[str, dict[str, float]]]:
    return {"no": 1 - background, "yes": background}, {fault: {"yes": link} for fault, link in shows.items()}


def chance_of_a(bank: Bank, questions: tuple[str, ...]) -> float:
    model = model_of(bank)
    return float(gather(model, case_of(bank, dict.fromkeys(questions, "yes"))).weight() @ model.fault_mask(["A"]))


def log_odds(chance: float) -> float:
    return math.log(chance / (1 - chance))


def test_one_answer_alone_and_no_answer_speak_with_nobody() -> None:
    assert together(case_of(the_bank(), {})) == ()
    assert together(case_of(the_bank(), {"rev_out": "ceiling"})) == ()


def test_what_speaks_against_is_named_with_it() -> None:
    answers = {"trouble": "four-strokes", "where": "middle", "rev_out": "smoky", "plug": "white"}
    answers |= {"changed": ["jets-bigger"]}
    first = together(case_of(the_bank(), answers))[0]
    assert first.faults == ("main-jet-rich",)
    assert "plug=white" in first.against
    words = together_words(the_bank(), first)[1]
    against = words.split(". ")[-1]
    assert against.startswith("“Where")
    assert against.endswith("and “What colour is the plug after a hard run? White or blistered” point away from it.")


def test_pairs_that_do_not_go_together_are_named_as_the_bank_says() -> None:
    bank = the_bank()
    case = case_of(bank, {"rev_out": "smoky", "plug": "white", "changed": ["nothing"], "came_on": "after-work"})
    pairs = contradictions(model_of(bank), case)
    assert pairs == (("rev_out=smoky", "plug=white"), ("changed=nothing", "came_on=after-work"))
    assert "contradict each other" in contradiction_words(bank, pairs[0])


@pytest.mark.parametrize(("word", "count"), [("clean", 1), ("ceiling", 0)])
def test_a_clip_that_disagrees_with_the_owner_is_named(word: str, count: int) -> None:
    bank = the_bank()
    heard = ClipVerdict("breaks-down", 0.95, 6100.0, 6200.0)
    case = case_of(bank, {"rev_out": word}, heard=heard, machine=MachineFacts(design_rpm=9000.0))
    assert len(contradictions(model_of(bank), case)) == count


@pytest.mark.parametrize("seed", range(30))
def test_whatever_is_answered_it_comes_out_in_words(seed: int) -> None:
    bank = the_bank()
    case = draw_sheet(bank, np.random.default_rng(seed)).case
    for group in together(case):
        assert 0 < group.without < group.chance < 1
        assert len(group.answers) > 1
        assert set(group.answers).isdisjoint(group.against)
        assert "=" not in "".join(together_words(bank, group))


def group_of(bank: Bank, *questions: str, **more: Any) -> Together:
    case = case_of(bank, dict.fromkeys(questions, "yes"), **more)
    return speak_together(gather(model_of(bank), case))[0]


def test_the_strongest_answer_comes_first_and_equals_by_their_name() -> None:
    bank = small_bank({"A": 0.1}, {"p": sign({"A": 0.4}), "q": sign({"A": 0.8}), "o": sign({"A": 0.4})})
    assert group_of(bank, "p", "q", "o").answers == ("q=yes", "o=yes", "p=yes")


@pytest.mark.parametrize(("link", "count"), [(0.1126, 0), (0.1127, 1)])
def test_an_answer_speaks_from_seven_tenths_of_a_log_odds_ratio_on(link: float, count: int) -> None:
    """A sign that 0.1 show anyway: shown with link net of that, its ratio is 1 + 9 × link."""
    bank = small_bank({"A": 0.3}, {"p": sign({"A": link}), "q": sign({"A": link})})
    case = case_of(bank, {"p": "yes", "q": "yes"})
    assert len(speak_together(gather(model_of(bank), case))) == count == (math.log(1 + 9 * link) >= 0.7)


def test_a_fault_less_likely_than_one_in_twenty_is_left_out() -> None:
    """Odds by hand: 0.001 and 0.003 times 6.4 for each of two signs."""
    for prior, count in ((0.001, 0), (0.003, 1)):
        bank = small_bank({"A": prior}, {"p": sign({"A": 0.6}), "q": sign({"A": 0.6})})
        case = case_of(bank, {"p": "yes", "q": "yes"})
        odds = prior / (1 - prior) * 6.4**2
        assert (odds / (1 + odds) >= 0.05) == bool(count)
        assert len(speak_together(gather(model_of(bank), case))) == count


def test_faults_that_the_same_answers_point_to_are_one_group_likeliest_first() -> None:
    both = sign({"A": 0.9, "B": 0.9}, 0.02)
    bank = small_bank({"A": 0.1, "B": 0.2}, {"p": both, "q": both})
    group = group_of(bank, "p", "q")
    assert group.faults == ("B", "A")
    model = model_of(bank)
    weight = gather(model, case_of(bank, {"p": "yes", "q": "yes"})).weight()
    assert group.chance == pytest.approx(float(1 - weight[0]))
    assert group.without == pytest.approx(1 - 0.9 * 0.8)


def test_at_most_three_groups_are_named_the_likeliest_first() -> None:
    faults = {name: 0.2 + 0.02 * place for place, name in enumerate("ABCDE")}
    questions = {f"{name}{k}".lower(): sign({name: 0.7}) for name in faults for k in (1, 2)}
    bank = small_bank(faults, questions)
    case = case_of(bank, dict.fromkeys(questions, "yes"))
    assert [group.faults for group in speak_together(gather(model_of(bank), case))] == [("E",), ("D",), ("C",)]


def test_what_points_clearly_away_is_against_and_what_does_so_a_little_is_not() -> None:
    """`no` to a sign that 0.8 show: 0.9 less than without, a ratio of about 0.2; to one that 0.3 show about 0.7."""
    bank = small_bank(
        {"A": 0.3}, {"p": sign({"A": 0.8}), "q": sign({"A": 0.8}), "r": sign({"A": 0.8}), "s": sign({"A": 0.3})}
    )
    case = case_of(bank, {"p": "yes", "q": "yes", "r": "no", "s": "no"})
    [group] = speak_together(gather(model_of(bank), case))
    assert (group.answers, group.against) == (("p=yes", "q=yes"), ("r=no",))


def test_one_of_several_changes_is_left_out_alone() -> None:
    """Of two changes each stays when the other is left out; alone, each speaks by its own factor."""
    bank = the_bank()
    case = case_of(bank, {"changed": ("jets-bigger", "exhaust"), "trouble": "four-strokes", "rev_out": "smoky"})
    rich = next(group for group in together(case) if "main-jet-rich" in group.faults)
    assert "changed=jets-bigger" in rich.answers
    assert "changed=exhaust" not in rich.answers
    mask = model_of(bank).fault_mask(rich.faults)
    kept = {"changed": ("exhaust",)}
    assert rich.without == pytest.approx(float(gather(model_of(bank), case_of(bank, kept)).weight() @ mask), abs=1e-9)


def test_a_word_and_its_clip_are_left_out_as_one() -> None:
    bank, known = the_bank(), MachineFacts(design_rpm=9000.0)
    heard = ClipVerdict("breaks-down", 0.95, 6000.0)
    case = case_of(bank, {"rev_out": "ceiling", "damp": "yes"}, heard=heard, machine=known)
    group = next(one for one in together(case) if "rev_out=ceiling+heard=breaks-down" in one.answers)
    without = case_of(bank, {"damp": "yes"} if "damp=yes" not in group.answers else {}, machine=known)
    mask = model_of(bank).fault_mask(group.faults)
    assert group.without == pytest.approx(float(gather(model_of(bank), without).weight() @ mask), abs=1e-9)


@pytest.mark.parametrize(("confidence", "count"), [(0.75, 1), (0.74, 0)])
def test_a_clip_contradicts_the_word_from_half_way_to_certain_on(confidence: float, count: int) -> None:
    """Strength 2c − 1."""
    case = case_of(
        the_bank(),
        {"rev_out": "smoky"},
        heard=ClipVerdict("breaks-down", confidence, 6100.0),
        machine=MachineFacts(design_rpm=9000.0),
    )
    assert contradictions(model_of(the_bank()), case) == (("rev_out=smoky", "heard=breaks-down"),) * count
    assert contradictions(model_of(the_bank()), case.without("rev_out")) == ()
