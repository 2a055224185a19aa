"""What an owner is told to try at home."""

from __future__ import annotations

from diagnostics.core.asking.home_tests import DONE_AT_HOME, home_tests, likely_faults
from diagnostics.reads.bank import the_bank

WIRING = {"earth-or-wiring": 0.8, "ht-side": 0.1}
STARVED = {"fuel-starved": 0.9}


def ids(chances, asked=None, **given):
    return [question.id for question in home_tests(asked or the_bank().questions, chances, **given)]


def test_the_test_that_shows_the_likeliest_fault_comes_first():
    assert ids(WIRING)[0] == "earths"
    assert ids(STARVED)[0] == "fuel_flow"


def test_only_what_may_be_asked_of_this_machine_is_tried():
    asked = [question for question in the_bank().questions if question.id != "fuel_flow"]
    assert "fuel_flow" not in ids(STARVED, asked)


def test_every_test_says_how_and_the_rev_out_is_asked_in_any_case():
    tests = home_tests(the_bank().questions, WIRING | STARVED, most=30)
    assert tests
    assert all(test.how for test in tests)
    assert "rev_out" not in [test.id for test in tests]


def test_what_is_only_remembered_is_no_test_and_the_bank_knows_every_test():
    everything = dict.fromkeys(the_bank().fault_ids, 0.3)
    assert set(ids(everything, most=30)) == set(DONE_AT_HOME)
    assert set(DONE_AT_HOME) <= {question.id for question in the_bank().questions}


def test_where_nothing_is_likely_there_is_nothing_to_try():
    assert ids({}) == []
    assert likely_faults(the_bank(), {}) == ()


def test_no_more_is_listed_than_is_read():
    chances = dict.fromkeys(the_bank().fault_ids, 0.3)
    assert len(ids(chances)) == 4
    assert len(likely_faults(the_bank(), chances)) == 4
    assert ids(chances, most=2) == ids(chances)[:2]


def test_faults_are_named_likeliest_first_and_unlikely_ones_not_at_all():
    names = likely_faults(the_bank(), {"ht-side": 0.2, "earth-or-wiring": 0.7, "reed-valve": 0.049})
    assert names == (the_bank().fault("earth-or-wiring").say, the_bank().fault("ht-side").say)
