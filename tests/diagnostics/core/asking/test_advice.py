"""Which visit kind is advised: common practice, no source; do not run and fix first as in the manual of `assess`."""

from dataclasses import replace

import pytest

from diagnostics.core.asking.advice import (
    BENCH_FIRST,
    CLEAN,
    NOT_KNOWN,
    RICH,
    STOPPED,
    TOO_LITTLE_KNOWN,
    Advice,
    advise,
    is_passed_over,
)
from diagnostics.reads.bank import the_bank
from garage.core.errors import BadInput

FINE = {"nipped": "no", "pinking": "no", "changed": ["nothing"], "rev_out": "clean"}


@pytest.mark.parametrize(
    ("answers", "book", "do_not_run"),
    [
        (FINE, "power-run", False),
        (FINE | {"nipped": "yes"}, "bench", True),
        (FINE | {"pinking": "yes"}, "bench", True),
        (FINE | {"changed": ["jets-smaller", "exhaust"]}, "bench", True),
        (FINE | {"rev_out": "ceiling"}, "bench", False),
        (FINE | {"rev_out": "dies"}, "bench", False),
        (FINE | {"rev_out": "smoky"}, "set-up", False),
        (FINE | {"changed": ["exhaust"]}, "set-up", False),
        (dict.fromkeys(FINE, "unsure"), "bench", False),
        ({}, "bench", False),
    ],
)
def test_the_advice_follows_from_the_answers(answers, book, do_not_run):
    advice = advise(the_bank(), answers)
    assert (advice.book, advice.do_not_run) == (book, do_not_run)
    assert advice.says


@pytest.mark.parametrize(
    ("answers", "book", "says"),
    [
        (FINE, "power-run", (CLEAN,)),
        (FINE | {"nipped": "yes"}, "bench", STOPPED),
        (FINE | {"rev_out": "ceiling"}, "bench", BENCH_FIRST),
        (FINE | {"rev_out": "smoky"}, "set-up", (RICH,)),
        (FINE | {"rev_out": "smoky", "changed": ["exhaust"]}, "set-up", (RICH,)),
        ({}, "bench", TOO_LITTLE_KNOWN),
    ],
)
def test_each_advice_says_why_in_its_own_words(answers, book, says):
    advice = advise(the_bank(), answers)
    assert (advice.book, advice.says) == (book, says)


@pytest.mark.parametrize("part", ["jets-bigger", "jets-smaller", "exhaust", "cylinder", "carburettor", "air-filter"])
def test_a_part_that_needs_other_jets_asks_for_a_set_up(part):
    advice = advise(the_bank(), FINE | {"changed": [part]})
    assert advice.book == "set-up"
    assert advice.says == ("What you changed needs other jets: a set-up finds them on the rollers.",)
    assert advice.pointed == ()


def test_the_answers_behind_an_advice_for_the_bench_are_named():
    assert advise(the_bank(), FINE | {"nipped": "yes"}).pointed == (
        "Has it seized or nipped up since it last ran right? Yes.",
    )
    assert any("rev" in line for line in advise(the_bank(), FINE | {"rev_out": "ceiling"}).pointed)
    assert advise(the_bank(), {}).pointed == advise(the_bank(), FINE).pointed == ()


def test_where_the_rollers_are_cheaper_a_rev_out_not_tried_is_left_to_a_set_up():
    """The same answers with a bench check that costs as much as a lost slot: then the rollers are not the dearer."""
    bank = the_bank()
    costs = {**bank.routing.costs, "bench_check": 9000, "call": 0}
    answers = {"nipped": "no", "pinking": "no", "changed": ["nothing"]}
    for routing in (replace(bank.routing, costs=costs), replace(bank.routing, costs=costs | {"call": 9000})):
        assert advise(replace(bank, routing=routing), answers) == Advice("set-up", NOT_KNOWN, ())
    assert advise(bank, answers).book == "bench"


def test_an_invalid_answer_is_refused():
    with pytest.raises(BadInput, match="nipped"):
        advise(the_bank(), {"nipped": "perhaps"})


def test_the_rev_out_is_not_asked_for_of_an_engine_that_nipped_up_or_rattles():
    assert is_passed_over("rev_out", {"nipped": "yes"})
    assert is_passed_over("rev_out", {"pinking": "yes"})
    assert not is_passed_over("rev_out", {"nipped": "no", "pinking": "unsure"})
    assert not is_passed_over("plug", {"nipped": "yes"})
    assert not is_passed_over("rev_out", {})
