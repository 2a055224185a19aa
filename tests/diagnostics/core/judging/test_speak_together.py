"""Answers that speak together: definition against a case judged by hand, and the trade's own examples."""

from __future__ import annotations

import math

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
