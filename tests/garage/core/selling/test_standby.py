"""Who is offered a freed time, in which order, until when, and when everybody can book it."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from garage.core.selling.standby import (
    OfferMade,
    OnStandby,
    StandbyRules,
    TimeFreed,
    asked_until,
    begins_at,
    fits,
    goes_on_at,
    in_order,
    next_offers,
    public_at,
)
from garage.core.time.local_time import LocalTime

LONDON = LocalTime.named("Europe/London")
NOW = datetime(2026, 11, 25, 10, tzinfo=UTC)  # a Wednesday; London is on UTC
H, MIN = timedelta(hours=1), timedelta(minutes=1)
RULES = StandbyRules(standby_min=120, today_min=20, offer_min=30, at_once=1)


def freed(ahead=72 * H, **given) -> TimeFreed:
    values = {"at": "roller", "starts_at": NOW + ahead, "minutes": 90, "freed_at": NOW, "not_for": 1}
    return TimeFreed(**values | given)


def one(number=41, **given) -> OnStandby:
    values = {"number": number, "at": "roller", "minutes": 90, "since": NOW - 48 * H}
    return OnStandby(**values | given)


def asked_next(standby, *, made=(), rules=RULES, now=NOW, time=None):
    return next_offers(time or freed(), standby, made, rules, now, LONDON)


def numbers(found) -> list[int]:
    return [each.number for each in found.offered]


@pytest.mark.parametrize(
    ("ahead", "freed_at", "begins", "public"),
    [
        (72 * H, NOW, NOW, NOW + 120 * MIN),
        (6 * H, NOW, NOW, NOW + 20 * MIN),  # within the day
        (10 * MIN, NOW, NOW, NOW + 10 * MIN),  # no longer than until it begins
        (72 * H, NOW.replace(hour=20), NOW.replace(day=26, hour=8), NOW.replace(day=26, hour=10)),  # nobody at night
        (72 * H, NOW.replace(hour=7, minute=59), NOW.replace(hour=8), NOW.replace(hour=10)),
        (72 * H, NOW.replace(hour=19, minute=59), NOW.replace(hour=19, minute=59), NOW.replace(hour=21, minute=59)),
        (24 * H, NOW.replace(hour=22), NOW.replace(day=26, hour=8), NOW.replace(day=26, hour=8, minute=20)),
    ],
)
def test_standby_has_the_shops_time_by_day_and_then_everybody(ahead, freed_at, begins, public):
    time = freed(ahead, freed_at=freed_at)
    assert begins_at(time, LONDON) == begins
    assert public_at(time, RULES, LONDON) == public


@pytest.mark.parametrize(
    ("given", "of_use"),
    [
        ({}, True),
        ({"number": 1}, False),  # it has just given it back
        ({"at": "bench"}, False),
        ({"minutes": 95}, False),
        ({"minutes": 45}, True),
        ({"may_have_time": False}, False),
        ({"starts_at": NOW + 73 * H}, True),
        ({"starts_at": NOW + 72 * H}, False),
        ({"starts_at": NOW + 71 * H}, False),
        ({"notice": 72 * H}, True),
        ({"notice": 72 * H + MIN}, False),
        ({"weekdays": frozenset({5})}, True),  # 28 November is a Saturday
        ({"weekdays": frozenset({0, 1, 2, 3, 4, 6})}, False),
        ({"can_be_told": False}, False),
        ({"is_here": True, "can_be_told": False, "notice": 99 * H, "weekdays": frozenset()}, True),
        ({"is_here": True, "may_have_time": False}, False),
    ],
)
def test_a_time_is_of_use_by_place_length_notice_day_and_the_rule_of_the_rollers(given, of_use):
    assert fits(one(**given), freed(), NOW, LONDON) is of_use


def test_the_day_that_suits_is_the_local_one():
    late_evening = TimeFreed("roller", datetime(2026, 6, 30, 23, 30, tzinfo=UTC), 90, NOW, 1)  # Wednesday in London
    assert fits(one(weekdays=frozenset({2})), late_evening, NOW - 300 * 24 * H, LONDON)


def test_first_the_machines_in_the_building_then_those_without_a_time_then_the_longest_waiting():
    line = [
        one(5, starts_at=NOW + 99 * H, since=NOW - 9 * H),
        one(4, starts_at=NOW + 99 * H, since=NOW - 10 * H),
        one(3, since=NOW - H),
        one(2, since=NOW - 2 * H),
        one(9, is_here=True, since=NOW),
        one(8, starts_at=NOW + 99 * H, since=NOW - 10 * H),
    ]
    assert [each.number for each in in_order(line)] == [9, 2, 3, 4, 8, 5]


def test_one_after_another_is_asked_each_for_the_shops_minutes():
    line = [one(41), one(42, since=NOW - H)]
    first = asked_next(line)
    assert (numbers(first), first.open_until, first.is_through) == ([41], NOW + 30 * MIN, False)
    waiting = asked_next(line, made=[OfferMade(41, NOW + 30 * MIN)], now=NOW + 29 * MIN)
    assert (numbers(waiting), waiting.is_through) == ([], False)
    lapsed = asked_next(line, made=[OfferMade(41, NOW + 30 * MIN)], now=NOW + 30 * MIN)
    assert (numbers(lapsed), lapsed.open_until) == ([42], NOW + 60 * MIN)
    refused = asked_next(line, made=[OfferMade(41, None)], now=NOW + MIN)
    assert numbers(refused) == [42]


def test_several_are_asked_at_once_where_the_shop_says_so():
    line = [one(number) for number in (41, 42, 43)]
    two = StandbyRules(120, 20, 30, at_once=2)
    assert numbers(asked_next(line, rules=two)) == [41, 42]
    assert numbers(asked_next(line, rules=two, made=[OfferMade(41, None), OfferMade(42, NOW + MIN)])) == [43]


def test_once_everybody_was_asked_it_is_on_sale():
    line = [one(41)]
    assert asked_next(line, made=[OfferMade(41, None)]).is_through
    assert not asked_next(line, made=[OfferMade(41, NOW + MIN)]).is_through
    assert asked_next([]).is_through


def test_once_the_time_is_up_it_is_on_sale_whoever_is_left():
    assert not asked_next([one(41)], now=NOW + 100 * MIN).is_through
    assert asked_next([one(41)], now=NOW + 120 * MIN).is_through
    assert asked_next([one(41)], made=[OfferMade(42, NOW + 999 * MIN)], now=NOW + 120 * MIN).is_through


def test_an_offer_ends_with_the_standby_time_and_none_is_made_for_a_few_minutes():
    assert asked_next([one(41)], now=NOW + 100 * MIN).open_until == NOW + 120 * MIN
    late = asked_next([one(41)], now=NOW + 106 * MIN)
    assert (numbers(late), late.is_through) == ([], True)


def test_nobody_is_asked_at_night_and_it_is_kept_until_the_morning():
    time = freed(freed_at=NOW.replace(hour=22))
    night = asked_next([one(41)], time=time, now=NOW.replace(hour=23))
    assert (numbers(night), night.is_through) == ([], False)
    assert numbers(asked_next([one(41)], time=time, now=NOW.replace(day=26, hour=8))) == [41]


def test_within_the_day_the_machine_in_the_building_has_it_and_nobody_is_asked():
    time = freed(4 * H)
    found = asked_next([one(41, notice=H), one(42, is_here=True)], time=time)
    assert found.given
    assert (found.given.number, numbers(found)) == (42, [])


def test_on_another_day_a_machine_in_the_building_is_not_kept_waiting_for_it():
    found = asked_next([one(41), one(42, is_here=True)])
    assert (found.given, numbers(found)) == (None, [41])
    assert asked_next([one(42, is_here=True)]).is_through


def test_within_the_day_three_are_asked_at_once_until_everybody_can_book():
    found = asked_next([one(number, notice=H) for number in (41, 42, 43, 44)], time=freed(4 * H))
    assert (numbers(found), found.open_until) == ([41, 42, 43], NOW + 20 * MIN)


# --- machines that were left with us: their owners are asked first ---


def left_with_us(number=50, **given) -> OnStandby:
    return one(number, **{"is_here": True, "must_be_asked": True} | given)


TODAY = 4 * H


def test_the_owner_of_a_machine_left_with_us_is_asked_before_anybody_on_standby():
    found = asked_next([one(41, notice=H), left_with_us()], time=freed(TODAY))
    assert (found.given, numbers(found), found.open_until) == (None, [50], NOW + 20 * MIN)


def test_while_that_question_is_open_nobody_else_is_asked_and_it_is_not_on_sale():
    made = [OfferMade(50, NOW + 20 * MIN, asked_until=NOW + 20 * MIN)]
    found = asked_next([one(41, notice=H), left_with_us()], made=made, time=freed(TODAY), now=NOW + 19 * MIN)
    assert (found.given, numbers(found), found.is_through) == (None, [], False)


@pytest.mark.parametrize(
    ("made", "now"),
    [
        (OfferMade(50, NOW + 20 * MIN, asked_until=NOW + 20 * MIN), NOW + 20 * MIN),  # no answer
        (OfferMade(50, None, asked_until=NOW + 5 * MIN), NOW + 5 * MIN),  # a no
    ],
)
def test_after_it_those_on_standby_have_the_shops_whole_time(made, now):
    standing_by = [one(number, notice=H) for number in (41, 42, 43, 44)]
    found = asked_next([*standing_by, left_with_us()], made=[made], time=freed(TODAY), now=now)
    assert (numbers(found), found.open_until) == ([41, 42, 43], now + 20 * MIN)


def test_whose_owner_has_agreed_has_it_at_once_though_another_waits_longer():
    found = asked_next([left_with_us(since=NOW - 99 * H), one(51, is_here=True)], time=freed(TODAY))
    assert (found.given.number, numbers(found)) == (51, [])


def test_whoever_agrees_while_being_asked_has_it_by_that():
    made = [OfferMade(50, NOW + 20 * MIN, asked_until=NOW + 20 * MIN)]
    agreed = one(50, is_here=True)
    assert asked_next([agreed], made=made, time=freed(TODAY), now=NOW + MIN).given == agreed
    refused = [OfferMade(50, None, asked_until=NOW + MIN)]
    assert asked_next([agreed], made=refused, time=freed(TODAY), now=NOW + MIN).given is None


def test_several_machines_in_the_building_are_asked_at_once_and_a_fourth_has_to_wait():
    here = [left_with_us(number, since=NOW - number * H) for number in (50, 51, 52, 53)]
    assert numbers(asked_next(here, time=freed(TODAY))) == [53, 52, 51]
    made = [OfferMade(number, NOW + 20 * MIN, asked_until=NOW + 20 * MIN) for number in (53, 52)]
    assert numbers(asked_next(here, made=made, time=freed(TODAY))) == [51]


@pytest.mark.parametrize(
    ("ahead", "minutes", "until"),
    [
        (4 * H, 90, NOW + 20 * MIN),
        (15 * MIN, 90, NOW + 15 * MIN),  # of its own length: until it begins
        (5 * MIN, 60, NOW + 20 * MIN),  # goes on in what is left of it: until 10:30 it still fits
        (5 * MIN, 75, NOW + 15 * MIN),
    ],
)
def test_there_may_be_a_yes_as_long_as_its_work_still_fits(ahead, minutes, until):
    assert asked_until(left_with_us(minutes=minutes), freed(ahead), RULES, NOW) == until
    found = asked_next([left_with_us(minutes=minutes)], time=freed(ahead))
    assert (numbers(found), found.open_until) == ([50], until)
    late = until - MIN
    assert goes_on_at(freed(ahead), late) + minutes * MIN <= freed(ahead).starts_at + 90 * MIN


def test_nobody_is_asked_who_could_hardly_read_it_in_time():
    assert asked_next([left_with_us(minutes=85)], time=freed(5 * MIN)).is_through
    assert asked_next([one(50, is_here=True, minutes=85)], time=freed(5 * MIN)).given


def test_nobody_is_asked_in_vain():
    assert not fits(left_with_us(can_be_told=False), freed(TODAY), NOW, LONDON)


def test_before_eight_it_is_kept_until_the_owner_can_be_asked():
    early = NOW.replace(hour=7)
    time = freed(freed_at=early, starts_at=NOW)
    night = asked_next([left_with_us()], time=time, now=early)
    assert (numbers(night), night.is_through) == ([], False)
    assert numbers(asked_next([left_with_us()], time=time, now=NOW.replace(hour=8))) == [50]


def test_on_another_day_a_machine_left_with_us_is_not_asked_either():
    assert asked_next([left_with_us()]).is_through


@pytest.mark.parametrize(("late", "begins"), [(-1, 0), (0, 5), (6, 15), (20, 25)])
def test_what_is_here_goes_on_with_the_time_or_as_soon_as_it_can_be_brought(late, begins):
    time = freed(TODAY)
    assert goes_on_at(time, time.starts_at + late * MIN) == time.starts_at + begins * MIN
