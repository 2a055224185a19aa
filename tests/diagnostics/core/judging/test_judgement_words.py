import re

import pytest

from diagnostics.core.assess import assess
from diagnostics.core.findings import read_case
from diagnostics.core.judging.judgement_words import (
    Standing,
    chance_words,
    finding_words,
    outcome,
    reasons_for_the_workshop,
    to_ask_words,
    what_pointed,
)
from diagnostics.reads.bank import the_bank
from garage.core import routes

BLAME = re.compile(r"\b(wrong of you|your fault|should have|you forgot|carelessly)\b", re.I)


def result_of(booked="set-up", **answers):
    return assess(the_bank(), read_case(the_bank(), {"case": "w", "booked": booked, "answers": answers})).to_json()


def standing(**given):
    values = {"is_roller_visit": True, "is_decided": True, "has_time": True, "deposit_words": "£30.00"}
    return Standing(**values | given)


def test_a_finding_is_said_with_its_question():
    bank = the_bank()
    assert finding_words(bank, "pinking=yes") == "Does it rattle or pink under load? Yes."
    assert finding_words(bank, "strobe_peak=19.5") == "What does the strobe read at peak revs? 19.5 degrees BTDC."
    assert "The clip: it breaks down." in finding_words(bank, "rev_out=bounces+heard=breaks-down")


@pytest.mark.parametrize("route", list(routes.WORDS))
@pytest.mark.parametrize("is_decided", [True, False])
def test_the_owner_reads_no_bare_chance_and_no_blame(route, is_decided):
    told = outcome({**result_of(rev_out="bounces"), "route": route}, standing(is_decided=is_decided))
    text = " ".join((told.heading, *told.says, told.slot, told.deposit))
    assert not re.search(r"\d ?%|(?<!£3)0\.\d", text)
    assert not BLAME.search(text)
    assert told.slot
    assert "£30.00" in told.deposit


def test_what_points_to_do_not_run_are_the_findings_that_fired_it():
    pointed = what_pointed(the_bank(), result_of(pinking="yes", plug="speckled", rev_out="bounces"))
    assert len(pointed) == 2
    assert "rattle" in pointed[0]
    assert "plug" in pointed[1]


def test_what_points_to_the_bench_are_answers_for_the_likeliest_group():
    pointed = what_pointed(the_bank(), result_of(rev_out="bounces", damp="yes"))
    assert any("ceiling" in line for line in pointed)


def test_what_speaks_most_against_nothing_being_wrong_points_to_the_bench_too():
    """With a shop's own base rates an answer may move "nothing wrong" more than the group that it is a sign of."""
    against = {"answer": "rev_out=bounces", "towards": "nothing-wrong", "weight": -2.7}
    result = result_of(rev_out="bounces") | {"because": [against]}
    assert [("ceiling" in line) for line in what_pointed(the_bank(), result)] == [True]
    assert what_pointed(the_bank(), result | {"route": routes.ROLLER_READY}) == []


def test_the_workshop_reads_the_price_and_the_answers_behind_it():
    lines = reasons_for_the_workshop(the_bank(), result_of(rev_out="bounces"))
    assert re.search(r"is £\d+\.\d\d cheaper than", lines[-1])
    assert "pence" not in lines[-1]
    assert re.search(r"spoilt is (over )?\d+\u00a0%", lines[-1])
    assert "speaks strongly for the ignition" in lines[0]


def test_the_ring_list_asks_what_is_worth_most_and_then_what_was_left_open():
    result = result_of() | {"ask_next": {"question": "rev_out", "pence": 300.0}}
    lines = to_ask_words(the_bank(), result, ["plug", "rev_out"])
    assert lines == [the_bank().question(q).ask for q in ("rev_out", "plug")]
    assert to_ask_words(the_bank(), result | {"ask_next": None}, [])


def test_chances_rise_through_the_words():
    words = [chance_words(chance) for chance in (0.01, 0.1, 0.3, 0.6, 0.95, 1.0)]
    assert words == ["hardly", "not likely", "possible", "likely", "very likely", "very likely"]


def test_a_rule_names_its_findings_as_question_and_answer():
    lines = reasons_for_the_workshop(the_bank(), result_of(pinking="yes"))
    assert lines[0].startswith("Do not run it before the bench has looked: “")
    assert "=" not in lines[0]
