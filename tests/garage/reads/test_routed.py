"""Visits to be put right, to be decided by the boss, to be rung."""

from datetime import timedelta

import pytest
from django.utils import timezone

from garage.changes.day.ring import nobody_answered
from garage.core import states
from garage.reads.routed import routed, rung, to_ring
from tests.factories import garage

pytestmark = pytest.mark.django_db
NOW = timezone.now()


def test_what_must_not_run_comes_first_then_the_longest_waiting():
    late = garage.visit(route="fix-first", route_at=NOW)
    early = garage.visit(route="fix-first", route_at=NOW - timedelta(days=1))
    stopped = garage.visit(route="do-not-run", route_at=NOW)
    garage.visit(route="roller-ready")
    assert list(routed().to_fix_first) == [stopped, early, late]


@pytest.mark.parametrize(
    "done",
    [{"gate_passed_at": NOW}, {"state": states.READY}, {"state": states.CALLED_OFF}, {"state": states.COLLECTED}],
)
def test_a_visit_leaves_the_list_once_it_may_run_or_is_over(done):
    garage.visit(route="fix-first", **done)
    assert list(routed().to_fix_first) == []


def test_who_is_asked_and_who_is_rung_stand_by_their_time():
    later = garage.visit(route_asked="fix-first", to_ask=["How old is the plug?"], starts_at=NOW + timedelta(days=2))
    sooner = garage.visit(route_asked="do-not-run", to_ask=["Does it rattle?"], starts_at=NOW + timedelta(days=1))
    garage.visit(route_asked="fix-first", to_ask=["Does it rattle?"], state=states.CALLED_OFF)
    garage.visit()
    assert list(routed().asked_of_the_boss) == list(to_ring()) == [sooner, later]


def test_the_last_try_at_which_nobody_answered_is_known():
    tried, untried = garage.visit(to_ask=["Does it rattle?"]), garage.visit(to_ask=["Does it rattle?"])
    for at in (NOW - timedelta(hours=1), NOW):
        nobody_answered(tried, by=garage.person(), now=at)
    assert {row: row.last_try for row in to_ring()} == {tried: NOW, untried: None}


def test_who_was_rung_stands_last_first_unless_there_is_more_to_ask():
    first = garage.visit(rung_at=NOW - timedelta(hours=2))
    last = garage.visit(rung_at=NOW)
    garage.visit(rung_at=NOW, to_ask=["One thing more."])
    garage.visit()
    assert list(rung()) == [last, first]
