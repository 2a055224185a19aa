import re
from dataclasses import replace

import pytest

from diagnostics.core.judging.judgement import AskNext, Caution, Reason
from diagnostics.core.telling.owner_words import (
    ASK_AGAIN,
    OFFER_A_SET_UP,
    Standing,
    cautions_for_the_owner,
    outcome,
    to_ask_words,
    what_pointed,
)
from diagnostics.reads.bank import the_bank
from garage.core import routes
from tests.diagnostics.core.telling.judged import RICH, judged

BLAME = re.compile(r"\b(wrong of you|your fault|should have|you forgot|carelessly)\b", re.I)


def standing(**given):
    values = {"is_roller_visit": True, "is_decided": True, "has_time": True, "deposit_words": "£30.00"}
    return Standing(**values | given)


@pytest.mark.parametrize("route", list(routes.WORDS))
@pytest.mark.parametrize("is_decided", [True, False])
def test_the_owner_reads_no_bare_chance_and_no_blame(route, is_decided):
    told = outcome(judged(rev_out="ceiling"), standing(is_decided=is_decided), route=route)
    text = " ".join((told.heading, *told.says, told.slot, told.deposit))
    assert not re.search(r"\d ?%|(?<!£3)0\.\d", text)
    assert not BLAME.search(text)
    assert told.slot
    assert "£30.00" in told.deposit


def test_what_points_to_do_not_run_are_the_findings_that_fired_it():
    pointed = what_pointed(the_bank(), judged(pinking="yes", plug="speckled", rev_out="ceiling"))
    assert len(pointed) == 2
    assert "rattle" in pointed[0]
    assert "plug" in pointed[1]


def test_what_points_to_the_bench_are_answers_for_the_likeliest_group():
    pointed = what_pointed(the_bank(), judged(rev_out="ceiling", damp="yes"))
    assert any("ceiling" in line for line in pointed)


def test_what_speaks_most_against_nothing_being_wrong_points_to_the_bench_too():
    """With a shop's own base rates an answer may move "nothing wrong" more than the group that it is a sign of."""
    against = Reason("rev_out=ceiling", "nothing-wrong", -2.7)
    judgement = replace(judged(rev_out="ceiling"), because=(against,))
    assert [("ceiling" in line) for line in what_pointed(the_bank(), judgement)] == [True]
    assert what_pointed(the_bank(), replace(judgement, route=routes.ROLLER_READY)) == []


def test_do_not_run_is_not_repeated_among_the_cautions():
    judgement = judged(fuel="wrong-mix")
    assert Caution.STOPPED in judgement.cautions
    told = cautions_for_the_owner(judgement)
    assert len(told) == len(judgement.cautions) - 1
    assert told[0].startswith("Drain the petrol")


def test_the_ring_list_asks_what_is_worth_most_and_then_what_was_left_open():
    judgement = replace(judged(), ask_next=AskNext("rev_out", 300.0))
    lines = to_ask_words(the_bank(), judgement, ["plug", "rev_out"])
    assert lines == [the_bank().question(q).ask for q in ("rev_out", "plug")]
    assert to_ask_words(the_bank(), replace(judgement, ask_next=None), []) == [ASK_AGAIN]


def test_a_rich_engine_on_a_power_run_is_first_offered_a_set_up():
    asked = ["plug"]
    assert to_ask_words(the_bank(), judged(booked="power-run", **RICH), asked)[0] == OFFER_A_SET_UP
    assert OFFER_A_SET_UP not in to_ask_words(the_bank(), judged(booked="set-up", **RICH), asked)
