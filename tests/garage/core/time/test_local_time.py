"""Local time, against the tz database's published changes and lengths."""

# ruff: noqa: DTZ001  wall-clock times without a zone are what is tested

from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from garage.core.errors import BadInput, Refused
from garage.core.time.local_time import LocalTime

LONDON = LocalTime.named("Europe/London")
BERLIN = LocalTime.named("Europe/Berlin")


def utc(*parts):
    return datetime(*parts, tzinfo=UTC)


# Instants of the changes (from tzdata; rule: gov.uk, last Sundays of March and October).
@pytest.mark.parametrize(
    ("change", "before", "after"),
    [
        (utc(2026, 3, 29, 1), "00:59", "02:00"),
        (utc(2026, 10, 25, 1), "01:59", "01:00"),
        (utc(2027, 3, 28, 1), "00:59", "02:00"),
        (utc(2027, 10, 31, 1), "01:59", "01:00"),
    ],
)
def test_the_clocks_change_at_the_published_instants(change, before, after):
    assert f"{LONDON.shown(change - timedelta(minutes=1)):%H:%M}" == before
    assert f"{LONDON.shown(change):%H:%M}" == after


def test_a_time_in_the_missing_hour_is_refused_with_a_sentence():
    with pytest.raises(Refused) as refused:
        LONDON.to_utc(datetime(2026, 3, 29, 1, 30))
    assert str(refused.value) == (
        "There is no 01:30 on Sunday 29 March 2026: the clocks go forward past it. Choose a time before or after."
    )


@pytest.mark.parametrize(("wall", "instant"), [((0, 59), (0, 59)), ((2, 0), (1, 0))])
def test_the_edges_of_the_missing_hour_exist(wall, instant):
    assert LONDON.to_utc(datetime(2026, 3, 29, *wall)) == utc(2026, 3, 29, *instant)


def test_the_missing_hour_counts_on_where_opening_hours_are_meant():
    assert LONDON.to_utc_or_after(datetime(2026, 3, 29, 1, 30)) == utc(2026, 3, 29, 1, 30)


# Double hour: 01:30 with fold 0 is 00:30Z, with fold 1 01:30Z (zdump), same on 2027-10-31.
@pytest.mark.parametrize("day", [(2026, 10, 25), (2027, 10, 31)])
def test_in_the_repeated_hour_the_first_is_meant_unless_the_second_is_named(day):
    assert LONDON.to_utc(datetime(*day, 1, 30)) == utc(*day, 0, 30)
    assert LONDON.to_utc(datetime(*day, 1, 30, fold=1)) == utc(*day, 1, 30)


def test_the_words_distinguish_the_repeated_hour():
    assert LONDON.in_words(utc(2026, 10, 25, 0, 30)).endswith("01:30 (before the clocks go back)")
    assert LONDON.in_words(utc(2026, 10, 25, 1, 30)).endswith("01:30 (after the clocks go back)")
    assert LONDON.in_words(utc(2026, 10, 25, 2, 30)) == "Sunday 25 October 2026, 02:30"


@pytest.mark.parametrize(("day", "hours"), [((2026, 3, 29), 23), ((2026, 10, 25), 25), ((2026, 6, 1), 24)])
def test_a_local_day_has_as_many_hours_as_it_has(day, hours):
    begin, end = LONDON.bounds(date(*day), date(*day))
    assert end - begin == timedelta(hours=hours)
    assert LONDON.day(begin) == date(*day)
    assert LONDON.day(end - timedelta(microseconds=1)) == date(*day)
    assert LONDON.day(end) == date(*day) + timedelta(days=1)


def test_minutes_of_the_day_follow_the_wall_clock():
    assert LONDON.at_minute(date(2026, 7, 1), 9 * 60 + 30) == utc(2026, 7, 1, 8, 30)
    assert LONDON.at_minute(date(2026, 7, 1), 1440) == utc(2026, 7, 1, 23)
    assert LONDON.minute_of_day(utc(2026, 7, 1, 8, 30, 59)) == 570
    assert LONDON.at_minute(date(2026, 7, 1), 0) == utc(2026, 6, 30, 23)


@pytest.mark.parametrize("minute", [-1, 1441])
def test_a_minute_outside_the_day_is_refused(minute):
    with pytest.raises(BadInput, match=rf"^minute of the day is {minute}; allowed is 0 to 1440\.$"):
        LONDON.at_minute(date(2026, 7, 1), minute)


def test_several_days_reach_from_the_first_midnight_to_the_one_after_the_last():
    assert LONDON.bounds(date(2026, 6, 1), date(2026, 6, 3)) == (utc(2026, 5, 31, 23), utc(2026, 6, 3, 23))


@settings(deadline=None)
@given(
    st.datetimes(datetime(2020, 1, 1), datetime(2035, 1, 1), timezones=st.just(UTC)), st.sampled_from([LONDON, BERLIN])
)
def test_every_instant_comes_back_from_local_time(instant, where):
    local = where.shown(instant)
    assert where.to_utc(local.replace(tzinfo=None)) == instant


@pytest.mark.parametrize("name", ["Europe/Ambleford", "", "../etc/passwd", "/etc/passwd", "Europe", "a\0b"])
def test_an_invalid_zone_is_refused(name):
    with pytest.raises(BadInput) as refused:
        LocalTime.named(name)
    allowed = "a name such as Europe/London"
    assert (refused.value.where, refused.value.found, refused.value.allowed) == ("time zone", name, allowed)


def test_naive_instants_and_aware_wall_clock_times_are_refused():
    with pytest.raises(BadInput, match=r"^instant is .* a time with its zone\.$"):
        LONDON.shown(datetime(2026, 1, 1))
    said = r"^local time is 2026-01-01 00:00:00\+00:00; allowed is a time without a zone: the garage's is meant\.$"
    with pytest.raises(BadInput, match=said):
        LONDON.to_utc(utc(2026, 1, 1))


def test_minutes_from_a_day_run_below_nothing_before_it_and_past_its_end_after_it():
    day = date(2026, 7, 1)
    assert LONDON.minute_from(day, utc(2026, 6, 30, 22, 30)) == -30
    assert LONDON.minute_from(day, utc(2026, 7, 1, 8, 30)) == 570
    assert LONDON.minute_from(day, utc(2026, 7, 2, 23, 30)) == 2 * 1440 + 30
