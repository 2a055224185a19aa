"""Until when an owner may choose what happens to a machine that is to be put right first, and what may be chosen."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from garage.core import routes, states
from garage.core.errors import Refused
from garage.core.selling.owner_choice import (
    ASKED,
    MYSELF,
    WITH_US,
    ChoiceFacts,
    check_may_fix_it,
    check_may_leave_it,
    check_may_take_time,
    choose_by,
    floor_places_left,
)

NOW = datetime(2026, 11, 25, 10, tzinfo=UTC)
H = timedelta(hours=1)
RING = "01632 960100"


@pytest.mark.parametrize(
    ("ahead", "limit", "by"),
    [
        (100 * H, 24 * H, 24 * H),
        (36 * H, 24 * H, 24 * H),
        (36 * H, 23 * H, 23 * H),
        (36 * H, 48 * H, 24 * H),  # twelve hours are left to sell it
        (61 * H, 48 * H, 48 * H),
        (59 * H, 48 * H, 47 * H),
    ],
)
def test_the_owner_has_the_shops_limit_and_the_time_can_still_be_sold(ahead, limit, by):
    assert choose_by(NOW + ahead, NOW, limit) == NOW + by


@pytest.mark.parametrize("ahead", [36 * H - timedelta(seconds=1), 2 * H, -H])
def test_with_less_than_thirty_six_hours_a_person_rings(ahead):
    assert choose_by(NOW + ahead, NOW, 24 * H) is None


def facts(**given) -> ChoiceFacts:
    values = {"state": states.BOOKED, "route": routes.FIX_FIRST, "choice": ASKED, "has_time": True, "floor_places": 1}
    return ChoiceFacts(**values | given)


@pytest.mark.parametrize(
    "given",
    [
        {},
        {"state": states.DEPOSIT_AWAITED},
        {"state": states.TO_PUT_RIGHT, "choice": "", "has_time": False},  # nobody answered, and now somebody does
        {"state": states.TO_PUT_RIGHT, "choice": MYSELF, "has_time": False},  # it would not come right
    ],
)
def test_what_is_asked_or_has_no_time_may_be_chosen(given):
    check_may_leave_it(facts(**given), RING)
    check_may_fix_it(facts(**given), RING)


@pytest.mark.parametrize(
    "given",
    [
        {"state": states.HERE},
        {"state": states.CALLED_OFF},
        {"route": routes.ROLLER_READY, "choice": ""},
        {"route": ""},
        {"choice": WITH_US},  # it has its time at the bench
        {"choice": ""},  # the workshop gave it bench time
    ],
)
def test_otherwise_there_is_nothing_to_choose(given):
    for check in (check_may_fix_it, check_may_leave_it):
        with pytest.raises(Refused, match=r"nothing to choose.*Ring 01632 960100"):
            check(facts(**given), RING)


def test_what_must_not_run_is_left_with_us_and_not_mended_and_run_at_home():
    stopped = facts(route=routes.DO_NOT_RUN, choice="", has_time=False, state=states.TO_PUT_RIGHT)
    check_may_leave_it(stopped, RING)
    with pytest.raises(Refused, match="should not be run before the bench"):
        check_may_fix_it(stopped, RING)


def test_it_is_left_with_us_only_while_there_is_room():
    with pytest.raises(Refused, match=r"no room.*ring 01632 960100"):
        check_may_leave_it(facts(floor_places=0), RING)
    check_may_fix_it(facts(floor_places=0), RING)


@pytest.mark.parametrize(
    ("places", "overnight", "promised", "left"), [(2, 0, 0, 2), (2, 1, 0, 1), (2, 0, 1, 1), (2, 1, 1, 0), (0, 0, 0, 0)]
)
def test_a_floor_place_is_taken_by_what_stands_there_and_by_what_was_promised(places, overnight, promised, left):
    assert floor_places_left(places, overnight=overnight, promised=promised) == left


def test_more_machines_than_places_leave_none():
    assert floor_places_left(1, overnight=3, promised=0) == 0


def test_a_new_time_is_picked_once_it_is_judged_ready_again():
    ready = {"choice": MYSELF, "has_time": False, "state": states.TO_PUT_RIGHT, "route": routes.ROLLER_READY}
    check_may_take_time(facts(**ready), RING)
    for route in (routes.FIX_FIRST, routes.PHONE_FIRST, routes.DO_NOT_RUN):
        with pytest.raises(Refused, match="First the check sheet again: how it revs out now"):
            check_may_take_time(facts(**ready | {"route": route}), RING)
    with pytest.raises(Refused, match="has a time already"):
        check_may_take_time(facts(**ready | {"has_time": True}), RING)
    for other in (
        {"choice": "", "route": routes.FIX_FIRST},
        {"choice": WITH_US},
        {"choice": ASKED},
        {"state": states.HERE},
    ):
        with pytest.raises(Refused, match="no new time is chosen here"):
            check_may_take_time(facts(**ready | other), RING)


@pytest.mark.parametrize("route", ["", routes.ROLLER_READY])
def test_a_visit_without_a_time_that_waits_for_nothing_picks_one(route):
    check_may_take_time(facts(choice="", route=route, has_time=False), RING)
    with pytest.raises(Refused, match="has a time already"):
        check_may_take_time(facts(choice="", route=route), RING)


@pytest.mark.parametrize("route", [routes.FIX_FIRST, routes.PHONE_FIRST, routes.DO_NOT_RUN])
def test_one_that_waits_for_bench_or_telephone_picks_none(route):
    with pytest.raises(Refused, match="no new time is chosen here"):
        check_may_take_time(facts(choice="", route=route, has_time=False), RING)


def test_what_must_not_run_picks_no_time_on_the_rollers():
    with pytest.raises(Refused, match="should not be run before the bench"):
        check_may_take_time(facts(choice="", route="", has_time=False, is_kept_off=True), RING)
