import re
from dataclasses import replace

import pytest

from diagnostics.core.judging.judgement import Cheapest, Reason, Stopped
from diagnostics.core.telling.judgement_words import (
    chance_words,
    finding_words,
    percent_words,
    reasons_for_the_workshop,
    weight_words,
    why_in_words,
)
from diagnostics.core.telling.rule_words import rule_means
from diagnostics.reads.bank import the_bank
from tests.diagnostics.core.telling.judged import RICH, judged


def test_a_finding_is_said_with_its_question():
    bank = the_bank()
    assert finding_words(bank, "pinking=yes") == "Does it rattle or pink under load? Yes."
    assert finding_words(bank, "strobe_peak=19.5") == "What does the strobe read at peak revs? 19.5 degrees BTDC."
    assert "The clip: it breaks down." in finding_words(bank, "rev_out=ceiling+heard=breaks-down")


def test_the_workshop_reads_the_price_and_the_answers_behind_it():
    lines = reasons_for_the_workshop(the_bank(), judged(rev_out="ceiling"))
    assert re.search(r"is £\d+\.\d\d cheaper than", lines[-1])
    assert "pence" not in lines[-1]
    assert re.search(r"spoilt is (over )?\d+%", lines[-1])
    assert "points strongly to the ignition" in lines[0]


def test_chances_rise_through_the_words():
    words = [chance_words(chance) for chance in (0.01, 0.1, 0.3, 0.6, 0.95, 1.0)]
    assert words == ["very unlikely", "unlikely", "possible", "likely", "very likely", "very likely"]


def test_a_rule_names_its_findings_as_question_and_answer():
    lines = reasons_for_the_workshop(the_bank(), judged(pinking="yes"))
    assert lines[0].startswith("Do not run it until the bench has looked at it: “")
    assert "=" not in lines[0]


def test_beside_a_rule_nothing_weighs_the_answers():
    lines = reasons_for_the_workshop(the_bank(), judged(pinking="yes", rev_out="clean", plug="tan"))
    assert not [line for line in lines if "points" in line or "%" in line]
    assert len(lines) == 3


@pytest.mark.parametrize(
    ("judgement", "sentence"),
    [
        pytest.param(
            judged(pinking="yes", nipped="yes"),
            "Do not run it until the bench has looked at it: “Does it rattle or pink under load? Yes”, "
            "“Has it seized or nipped up since it last ran right? Yes”.",
            id="two rules",
        ),
        pytest.param(
            judged(strobe_idle=14, strobe_peak=19.5),
            "Do not run it until the bench has looked at it: “What does the strobe read at tickover? 14 degrees BTDC”, "
            "“What does the strobe read at peak revs? 19.5 degrees BTDC”, unless it is made to advance.",
            id="a curve that is not known",
        ),
        pytest.param(
            judged(booked="bench"), "Booked for the bench: there is no roller slot to lose.", id="for the bench"
        ),
    ],
)
def test_what_decided_is_said_in_one_sentence(judgement, sentence):
    assert why_in_words(the_bank(), judgement) == sentence


OFF = {"trouble": "none", "rev_out": "clean", "nipped": "no", "pinking": "no"}


def test_what_keeps_it_off_the_rollers_is_said_with_the_price_and_before_the_answers():
    judgement = judged(remarks=["no-exhaust", "brakes-or-tyres"], **OFF)
    why = why_in_words(the_bank(), judgement)
    assert re.fullmatch(
        "Not roller-ready because of “There is no exhaust on it”, “Its brakes or tyres are not safe to ride on”; "
        r"phone first is £\d+\.\d\d cheaper than fix first\.",
        why,
    )
    assert reasons_for_the_workshop(the_bank(), judgement)[0] == why


def test_an_engine_not_run_in_and_one_of_which_nothing_is_known_are_rung_about_without_a_price():
    told = [why_in_words(the_bank(), judged(remarks=["not-run-in"], **OFF)), why_in_words(the_bank(), judged())]
    assert told == [
        "Not roller-ready because of “A cylinder or piston is not yet run in”: ring the owner first and ask how far it "
        "has run and how it is to be run in.",
        "There is no answer to go by yet: ring the owner before it takes roller time.",
    ]


def test_a_small_advance_says_what_would_excuse_it():
    why = why_in_words(the_bank(), judged(strobe_idle=16, strobe_peak=17.5, **OFF))
    assert "“What does the strobe read at peak revs? 17.5 degrees BTDC”, unless it is made to advance; " in why


def test_merely_rich_is_shown_with_its_chance_and_its_meaning_for_the_booking():
    told = [why_in_words(the_bank(), judged(booked=booked, **RICH)) for booked in ("set-up", "power-run")]
    assert re.fullmatch(r"Merely rich \(chance \d+%\): that is what a set-up is for\.", told[0])
    assert re.fullmatch(r"Merely rich \(chance \d+%\): offer a set-up instead of the power run\.", told[1])


def test_a_finding_whose_question_has_left_the_bank_is_shown_as_stored():
    older = replace(judged(pinking="yes"), why=Stopped(("rattles=always", "pinking=yes")))
    assert why_in_words(the_bank(), older) == (
        "Do not run it until the bench has looked at it: rattles=always, “Does it rattle or pink under load? Yes”."
    )


@pytest.mark.parametrize(
    ("chance", "words"),
    [(0.05, "unlikely"), (0.25, "possible"), (0.5, "likely"), (0.8, "very likely"), (0.0499, "very unlikely")],
)
def test_a_chance_at_a_limit_has_the_words_above_it(chance, words):
    assert chance_words(chance) == words


def test_a_percentage_is_never_nought_or_a_hundred():
    told = [percent_words(chance) for chance in (0.0, 0.0099, 0.01, 0.014, 0.5, 0.99, 0.991, 1.0)]
    assert told == ["under 1%", "under 1%", "1%", "1%", "50%", "99%", "over 99%", "over 99%"]


@pytest.mark.parametrize(
    ("towards", "weight", "words"),
    [
        ("ignition", 0.7, "points a little to the ignition"),
        ("ignition", 0.71, "points clearly to the ignition"),
        ("fuel-air", 2.0, "points clearly to fuel and air"),
        ("mechanical", 2.01, "points strongly to something mechanical"),
        ("mechanical", -2.01, "points strongly away from something mechanical"),
        ("nothing-wrong", 0.5, "points a little to nothing being wrong"),
        ("nothing-wrong", -0.5, "points a little to a fault"),
    ],
)
def test_a_weight_is_said_with_its_direction_and_its_strength(towards, weight, words):
    assert weight_words(towards, weight) == words


def test_a_clip_or_a_question_unknown_to_the_bank_is_shown_as_it_is_stored():
    told = [finding_words(the_bank(), one) for one in ("heard=unclear", "heard=sings", "rattles=always")]
    assert told == ["The clip: unclear.", "The clip: sings.", "rattles=always."]
    both = finding_words(the_bank(), "damp=yes+heard=revs-out")
    assert both == "Is it worse in rain or damp? Yes. The clip: it revs out."


def test_a_cost_comes_after_the_strongest_three_answers_and_a_rule_that_stops_it_stands_with_what_it_means():
    because = tuple(Reason(f"{question}=yes", "ignition", 1.0) for question in ("damp", "earths", "pinking", "nipped"))
    judgement = replace(judged(), because=because, route="fix-first", why=Cheapest(12345.4, "phone-first"))
    why = why_in_words(the_bank(), judgement)
    assert why.startswith(
        "Fix first is £123.45 cheaper than phone first: the chance that the visit would be spoilt is "
    )
    answers = reasons_for_the_workshop(the_bank(), judgement)
    assert answers[0] == "Is it worse in rain or damp? Yes: points clearly to the ignition."
    assert (len(answers), answers[-1]) == (4, why)
    assert len(reasons_for_the_workshop(the_bank(), judgement, most=1)) == 2
    rule = replace(judgement, route="do-not-run", why=Stopped(("pinking=yes",)))
    assert reasons_for_the_workshop(the_bank(), rule) == [why_in_words(the_bank(), rule), *rule_means(rule)]
