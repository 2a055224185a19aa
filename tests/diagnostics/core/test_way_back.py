from __future__ import annotations

import pytest

from diagnostics.core.way_back import Check, check_put_right, checks_for
from garage.core.errors import BadInput
from tests.sentences import refuses

FOUND = "Main jet too small; the old one is back in."


@pytest.mark.parametrize(
    ("questions", "checks"),
    [
        ((), ()),
        (("strobe_idle",), (Check.STROBE,)),
        (("strobe_peak", "strobe_idle"), (Check.STROBE,)),
        (("pinking",), (Check.STROBE,)),
        (("nipped",), (Check.GAUGE,)),
        (("nipped", "pinking"), (Check.STROBE, Check.GAUGE)),
        (("plug",), (Check.STROBE, Check.GAUGE)),
        (("fuel",), ()),
        (("changed", "falls_back"), ()),
    ],
)
def test_the_gate_asks_for_the_check_that_fits_what_was_put_right(
    questions: tuple[str, ...], checks: tuple[Check, ...]
) -> None:
    assert checks_for(questions) == checks


def test_a_finding_that_stops_the_machine_is_put_right_once_the_card_says_what_it_was() -> None:
    check_put_right("nipped", FOUND, stops={"nipped"}, has_cause=True)
    with refuses("Say on the card what it was, then say here that it is put right."):
        check_put_right("nipped", FOUND, stops={"nipped"}, has_cause=False)
    with refuses("This finding does not keep the machine from being run: there is nothing to put right in it."):
        check_put_right("rev_out", FOUND, stops={"nipped"}, has_cause=True)


@pytest.mark.parametrize("length", [10, 200])
def test_what_was_done_is_said_in_some_words(length: int) -> None:
    check_put_right("nipped", "x" * length, stops={"nipped"}, has_cause=True)


@pytest.mark.parametrize(("length", "found"), [(0, "is missing"), (9, "is 9 characters"), (201, "is 201 characters")])
def test_fewer_or_more_words_are_refused(length: int, found: str) -> None:
    allowed = "allowed is what was found and what was done, 10 to 200 characters."
    with refuses(f"Found and put right {found}; {allowed}", BadInput):
        check_put_right("nipped", "x" * length, stops={"nipped"}, has_cause=True)
