"""Until when an owner moves or calls off without a word."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from garage.core import routes, states
from garage.core.errors import Refused
from garage.core.roller_rule import RollerFacts
from garage.core.selling.own_changes import OwnTime, check_owner_may_call_off, check_owner_may_move, is_late

NOW = datetime(2026, 11, 25, 10, tzinfo=UTC)


def own_time(state, ahead, *, is_on_the_rollers=True, late_hours=24, **known):
    return OwnTime(
        None if ahead is None else NOW + ahead, is_on_the_rollers, RollerFacts(41, state, **known), late_hours
    )


@pytest.mark.parametrize("state", sorted(states.COMING))
def test_a_coming_visit_is_moved_until_a_day_before(state):
    check_owner_may_move(own_time(state, timedelta(hours=24)), NOW, "01632 960100")
    with pytest.raises(Refused, match="less than a day away: ring 01632 960100"):
        check_owner_may_move(own_time(state, timedelta(hours=24, seconds=-1)), NOW, "01632 960100")


@pytest.mark.parametrize("state", sorted(states.COMING))
def test_a_coming_visit_is_called_off_at_any_time(state):
    check_owner_may_call_off(state, "01632 960100")


@pytest.mark.parametrize("state", sorted(states.IN_THE_BUILDING | states.OVER))
def test_a_visit_here_or_over_is_discussed_by_telephone(state):
    with pytest.raises(Refused, match="Ring 01632 960100"):
        check_owner_may_call_off(state, "01632 960100")
    with pytest.raises(Refused, match="Ring 01632 960100"):
        check_owner_may_move(own_time(state, timedelta(days=9)), NOW, "01632 960100")


def test_a_visit_without_a_time_has_none_to_move():
    with pytest.raises(Refused, match="no time to move"):
        check_owner_may_move(own_time(states.TO_PUT_RIGHT, None), NOW, "01632 960100")


@pytest.mark.parametrize("stop", [{"must_not_run": ("It pinks.",)}, {"route": routes.DO_NOT_RUN}])
def test_the_roller_time_of_a_machine_that_must_not_run_is_not_moved_but_its_bench_time_is(stop):
    with pytest.raises(Refused, match="no roller time to choose until then"):
        check_owner_may_move(own_time(states.BOOKED, timedelta(days=9), **stop), NOW, "01632 960100")
    check_owner_may_move(own_time(states.BOOKED, timedelta(days=9), is_on_the_rollers=False, **stop), NOW, "0")


def test_calling_off_is_late_from_a_day_before():
    assert not is_late(NOW + timedelta(hours=24), NOW, 24)
    assert is_late(NOW + timedelta(hours=24, seconds=-1), NOW, 24)
    assert is_late(NOW - timedelta(hours=1), NOW, 24)


def test_a_time_whose_owner_is_asked_how_it_is_put_right_is_not_moved_meanwhile():
    asked = OwnTime(NOW + timedelta(days=9), True, RollerFacts(41, states.BOOKED), 24, waits_for_its_owner=True)
    with pytest.raises(Refused, match="choose how first"):
        check_owner_may_move(asked, NOW, "0")


def test_what_counts_as_late_is_the_shops():
    assert is_late(NOW + timedelta(hours=47), NOW, 48)
    assert not is_late(NOW + timedelta(hours=3), NOW, 3)
    check_owner_may_move(own_time(states.BOOKED, timedelta(hours=3), late_hours=3), NOW, "0")
    with pytest.raises(Refused, match="less than 2 days away"):
        check_owner_may_move(own_time(states.BOOKED, timedelta(hours=47), late_hours=48), NOW, "0")
