"""What a closed visit's card says, and what it can be compared with."""

from __future__ import annotations

import pytest

from diagnostics.core.learning.closed_visits import ClosedVisit, has_group, is_known, scored, was_spoilt, why_not
from diagnostics.reads.bank import the_bank
from tests.diagnostics.core.closed_examples import closed

BANK = the_bank()
OWN_WORDS = "a cause in the mechanic’s own words"
CAME_BACK = "it came back with the same trouble"
KNOWN = [closed(), closed("air-leak"), closed("air-leak", "clutch-slip")]
UNKNOWN = [
    closed("gone"),
    closed("air-leak", "gone"),
    closed(has_own_words=True),
    closed("air-leak", has_own_words=True),
    closed("air-leak", came_back=True),
    closed(came_back=True),
]


def test_a_card_says_what_it_was_if_all_of_its_causes_are_the_bank_s_and_it_did_not_come_back() -> None:
    assert [is_known(BANK, visit) for visit in KNOWN] == [True] * 3
    assert [is_known(BANK, visit) for visit in UNKNOWN] == [False] * 6


def test_only_known_visits_with_a_judgement_are_scored_each_beside_it() -> None:
    visits = [*KNOWN, *UNKNOWN, closed("air-leak", judged=None)]
    assert scored(BANK, visits) == tuple((visit, visit.judged) for visit in KNOWN)


@pytest.mark.parametrize(
    ("visit", "why"),
    [
        (closed(), ""),
        (closed("air-leak"), ""),
        (closed("air-leak", "clutch-slip"), ""),
        (closed("air-leak", has_own_words=True), OWN_WORDS),
        (closed(has_own_words=True), OWN_WORDS),
        (closed("gone"), "a cause the bank doesn’t know"),
        (closed("air-leak", came_back=True), CAME_BACK),
        (closed("air-leak", "gone", came_back=True, has_own_words=True), CAME_BACK),
    ],
)
def test_a_card_that_is_not_counted_says_why(visit: ClosedVisit, why: str) -> None:
    assert why_not(BANK, visit) == why


@pytest.mark.parametrize(
    ("visit", "spoilt"),
    [
        (closed(), False),
        (closed("main-jet-rich"), False),
        (closed("main-jet-rich", booked="power-run"), True),
        (closed("main-jet-rich", "air-leak"), True),
        (closed("gone"), False),
        (closed("gone", "air-leak"), True),
    ],
)
def test_a_visit_was_spoilt_by_a_cause_that_spoils_what_was_booked(visit: ClosedVisit, spoilt: bool) -> None:
    assert was_spoilt(BANK, visit) is spoilt


def test_a_visit_has_the_groups_of_its_causes_or_nothing_wrong() -> None:
    groups = ("ignition", "fuel-air", "mechanical", "nothing-wrong")
    found = [[has_group(BANK, visit, group) for group in groups] for visit in KNOWN]
    assert found == [[False, False, False, True], [False, True, False, False], [False, True, True, False]]


def test_any_roller_time_makes_a_visit_one_for_the_rollers() -> None:
    assert [closed(roller_minutes=minutes).is_for_the_rollers for minutes in (0, 1, 90)] == [False, True, True]
