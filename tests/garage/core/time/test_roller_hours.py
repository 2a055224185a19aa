"""The hours in which the rollers may run, where they are shorter than the garage's own."""

from datetime import date, time

import pytest

from garage.core.errors import BadInput
from garage.core.time.open_days import Hours, OpenDays
from garage.core.time.roller_hours import RollerHours, hours_in_words, is_outside

NINE_TO_FOUR = RollerHours(time(9), time(16)).quiet
NEVER = RollerHours(has_rollers=False).quiet
MONDAY, SUNDAY = date(2026, 11, 30), date(2026, 11, 29)


@pytest.mark.parametrize(
    ("hours", "quiet"),
    [
        (RollerHours(), ()),
        (RollerHours(time(9), time(16)), ((0, 540), (960, 1440))),
        (RollerHours(begins=time(9)), ((0, 540),)),
        (RollerHours(ends=time(16)), ((960, 1440),)),
        (RollerHours(begins=time(0)), ()),
        (RollerHours(has_rollers=False), ((0, 1440),)),
    ],
)
def test_the_rollers_are_quiet_before_and_after_their_hours(hours, quiet):
    assert hours.quiet == quiet


@pytest.mark.parametrize(
    ("quiet", "begin", "end", "outside"),
    [
        ((), 0, 1440, False),
        (NINE_TO_FOUR, 600, 690, False),
        (NINE_TO_FOUR, 540, 960, False),
        (NINE_TO_FOUR, 539, 600, True),
        (NINE_TO_FOUR, 900, 961, True),
        (NINE_TO_FOUR, 480, 540, True),
        (NINE_TO_FOUR, 960, 1020, True),
        (NEVER, 600, 690, True),
        (NEVER, 1439, 1440, True),
    ],
)
def test_a_session_is_outside_as_soon_as_one_minute_of_it_is(quiet, begin, end, outside):
    assert is_outside(quiet, begin, end) == outside


@pytest.mark.parametrize(
    ("quiet", "words"),
    [
        ((), ""),
        (NINE_TO_FOUR, "run from 09:00 to 16:00"),
        (RollerHours(begins=time(9)).quiet, "run from 09:00"),
        (RollerHours(ends=time(16)).quiet, "run until 16:00"),
        (NEVER, "do not run"),
    ],
)
def test_the_hours_are_said_in_words(quiet, words):
    assert hours_in_words(quiet) == words


@pytest.mark.parametrize(
    "hours",
    [
        RollerHours(),
        RollerHours(time(8), time(17, 30)),
        RollerHours(begins=time(17, 29)),
        RollerHours(ends=time(8, 1)),
        RollerHours(has_rollers=False),
    ],
)
def test_hours_within_the_opening_hours_are_taken(hours):
    hours.check("Monday", opens=time(8), closes=time(17, 30))


@pytest.mark.parametrize(
    ("hours", "where", "found", "allowed"),
    [
        (RollerHours(time(7), time(16)), "from", "07:00", "a time from 08:00 and before 17:30"),
        (RollerHours(begins=time(17, 30)), "from", "17:30", "a time from 08:00 and before 17:30"),
        (RollerHours(time(9), time(18)), "until", "18:00", "a time after 09:00, 17:30 at the latest"),
        (RollerHours(time(9), time(9)), "until", "09:00", "a time after 09:00, 17:30 at the latest"),
        (RollerHours(ends=time(8)), "until", "08:00", "a time after 08:00, 17:30 at the latest"),
        (RollerHours(begins=time(9), has_rollers=False), "from", "09:00", "an empty field on a day with no rollers"),
        (RollerHours(ends=time(9), has_rollers=False), "until", "09:00", "an empty field on a day with no rollers"),
    ],
)
def test_other_hours_are_refused_at_their_field(hours, where, found, allowed):
    with pytest.raises(BadInput) as refused:
        hours.check("Monday", opens=time(8), closes=time(17, 30))
    said = refused.value
    assert (said.where, said.found, said.allowed) == (f"Monday: rollers {where}", found, allowed)


def test_each_open_day_has_the_hours_of_its_weekday_and_a_closed_one_has_none():
    week = OpenDays({0: Hours(time(8), time(17), RollerHours(time(9), time(16))), 1: Hours(time(8), time(17))})
    assert week.quiet_rollers(MONDAY) == NINE_TO_FOUR
    assert week.quiet_rollers(date(2026, 12, 1)) == ()
    assert week.quiet_rollers(SUNDAY) == ()


def test_a_bank_holiday_that_is_worked_has_the_hours_of_its_weekday():
    hours = Hours(time(8), time(17), RollerHours(has_rollers=False))
    week = OpenDays({0: hours}, bank_holidays={MONDAY: "a holiday"})
    assert week.quiet_rollers(MONDAY) == ()
    worked = OpenDays({0: hours}, bank_holidays={MONDAY: "a holiday"}, open_after_all=frozenset({MONDAY}))
    assert worked.quiet_rollers(MONDAY) == NEVER
