import re
from dataclasses import replace

import pytest

from diagnostics.core.judging.judgement import Stopped
from diagnostics.core.telling.judgement_words import (
    chance_words,
    finding_words,
    reasons_for_the_workshop,
    why_in_words,
)
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


def test_merely_rich_is_shown_with_its_chance_and_its_meaning_for_the_booking():
    told = [why_in_words(the_bank(), judged(booked=booked, **RICH)) for booked in ("set-up", "power-run")]
    assert re.fullmatch(r"Merely rich \(chance \d+%\): that is what a set-up is for\.", told[0])
    assert re.fullmatch(r"Merely rich \(chance \d+%\): offer a set-up instead of the power run\.", told[1])


def test_a_finding_whose_question_has_left_the_bank_is_shown_as_stored():
    older = replace(judged(pinking="yes"), why=Stopped(("rattles=always", "pinking=yes")))
    assert why_in_words(the_bank(), older) == (
        "Do not run it until the bench has looked at it: rattles=always, “Does it rattle or pink under load? Yes”."
    )
