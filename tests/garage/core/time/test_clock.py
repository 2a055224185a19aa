"""Local time, against the tz database's published changes and lengths (reference sheet, section 9)."""

# ruff: noqa: DTZ001  wall-clock times without a zone are what is tested

from datetime import UTC, date, datetime, timedelta
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from garage.core.errors import BadInput, Refused
from garage.core.time import clock

LONDON = clock.zone("Europe/London")
BERLIN = clock.zone("Europe/Berlin")


def utc(*parts):
    return datetime(*parts, tzinfo=UTC)


# Instants of the changes (reference sheet, from tzdata; rule: gov.uk, last Sundays of March and October).
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
    assert f"{clock.to_local(change - timedelta(minutes=1), LONDON):%H:%M}" == before
    assert f"{clock.to_local(change, LONDON):%H:%M}" == after


def test_a_time_in_the_missing_hour_is_refused_with_a_sentence():
    with pytest.raises(Refused) as refused:
        clock.to_utc(datetime(2026, 3, 29, 1, 30), LONDON)
    assert str(refused.value) == (
        "There is no 01:30 on Sunday 29 March 2026: the clocks go forward past it. Choose a time before or after."
    )


@pytest.mark.parametrize(("wall", "instant"), [((0, 59), (0, 59)), ((2, 0), (1, 0))])
def test_the_edges_of_the_missing_hour_exist(wall, instant):
    assert clock.to_utc(datetime(2026, 3, 29, *wall), LONDON) == utc(2026, 3, 29, *instant)


def test_the_missing_hour_counts_on_where_opening_hours_are_meant():
    assert clock.to_utc_or_after(datetime(2026, 3, 29, 1, 30), LONDON) == utc(2026, 3, 29, 1, 30)


# Double hour: 01:30 with fold 0 is 00:30Z, with fold 1 01:30Z (reference sheet), same on 2027-10-31.
@pytest.mark.parametrize("day", [(2026, 10, 25), (2027, 10, 31)])
def test_of_the_double_hour_the_first_is_meant_unless_the_second_is_named(day):
    assert clock.to_utc(datetime(*day, 1, 30), LONDON) == utc(*day, 0, 30)
    assert clock.to_utc(datetime(*day, 1, 30, fold=1), LONDON) == utc(*day, 1, 30)


def test_words_tell_the_double_hour_apart():
    assert clock.in_words(utc(2026, 10, 25, 0, 30), LONDON).endswith("01:30 (before the clocks go back)")
    assert clock.in_words(utc(2026, 10, 25, 1, 30), LONDON).endswith("01:30 (after the clocks go back)")
    assert clock.in_words(utc(2026, 10, 25, 2, 30), LONDON) == "Sunday 25 October 2026, 02:30"


# Lengths (reference sheet): 00:30 to 02:30 on 2026-03-29 is 1 h; noon 24 to noon 25 October 2026 is 25 h.
def test_lengths_over_a_change_are_what_really_passes():
    begin, end = (clock.to_local(utc(2026, 3, 29, *at), LONDON) for at in ((0, 30), (1, 30)))
    assert end - begin == timedelta(hours=2)  # what the library says within one zone
    assert clock.minutes_between(begin, end) == 60
    noons = [clock.to_utc(datetime(2026, 10, day, 12), LONDON) for day in (24, 25)]
    assert clock.minutes_between(*noons) == 25 * 60


@pytest.mark.parametrize(("day", "hours"), [((2026, 3, 29), 23), ((2026, 10, 25), 25), ((2026, 6, 1), 24)])
def test_a_local_day_has_as_many_hours_as_it_has(day, hours):
    begin, end = clock.day_bounds(date(*day), LONDON)
    assert end - begin == timedelta(hours=hours)
    assert clock.local_day(begin, LONDON) == date(*day)
    assert clock.local_day(end - timedelta(microseconds=1), LONDON) == date(*day)
    assert clock.local_day(end, LONDON) == date(*day) + timedelta(days=1)


def test_minutes_of_the_day_follow_the_wall_clock():
    assert clock.at_minute(date(2026, 7, 1), 9 * 60 + 30, LONDON) == utc(2026, 7, 1, 8, 30)
    assert clock.at_minute(date(2026, 7, 1), 1440, LONDON) == utc(2026, 7, 1, 23)
    assert clock.minute_of_day(utc(2026, 7, 1, 8, 30, 59), LONDON) == 570
    with pytest.raises(BadInput):
        clock.at_minute(date(2026, 7, 1), 1441, LONDON)


def test_pieces_run_on_through_a_change():
    begin = clock.to_utc(datetime(2026, 10, 25, 1, 50), LONDON)
    end = clock.to_utc(datetime(2026, 10, 25, 1, 10, fold=1), LONDON)
    assert [f"{piece:%H:%M}" for piece in clock.pieces(begin, end)] == ["00:50", "00:55", "01:00", "01:05"]


@settings(deadline=None)
@given(
    st.datetimes(datetime(2020, 1, 1), datetime(2035, 1, 1), timezones=st.just(UTC)),
    st.timedeltas(timedelta(seconds=1), timedelta(hours=12)),
)
def test_pieces_cover_the_time_and_nothing_beside_it(begin, length):
    found = clock.pieces(begin, begin + length)
    assert found[0] <= begin < found[0] + clock.PIECE
    assert found[-1] < begin + length <= found[-1] + clock.PIECE
    assert all(second - first == clock.PIECE for first, second in pairwise(found))
    assert all((piece.minute % 5, piece.second, piece.microsecond) == (0, 0, 0) for piece in found)


@settings(deadline=None)
@given(
    st.datetimes(datetime(2020, 1, 1), datetime(2035, 1, 1), timezones=st.just(UTC)), st.sampled_from([LONDON, BERLIN])
)
def test_every_instant_comes_back_from_local_time(instant, where):
    local = clock.to_local(instant, where)
    assert clock.to_utc(local.replace(tzinfo=None), where) == instant


def test_two_times_that_meet_share_no_piece_and_two_that_overlap_do():
    ten, half_past = utc(2026, 11, 25, 10), utc(2026, 11, 25, 10, 30)
    after = set(clock.pieces(half_past, half_past + timedelta(minutes=30)))
    assert not set(clock.pieces(ten, half_past)) & after
    assert set(clock.pieces(ten, half_past + timedelta(minutes=1))) & after


@pytest.mark.parametrize("name", ["Europe/Ambleford", "", "../etc/passwd", "/etc/passwd", "Europe", "a\0b"])
def test_a_zone_that_is_none_is_refused(name):
    with pytest.raises(BadInput):
        clock.zone(name)


def test_naive_instants_and_aware_wall_times_are_refused():
    for call in (
        lambda: clock.to_local(datetime(2026, 1, 1), LONDON),
        lambda: clock.pieces(datetime(2026, 1, 1), datetime(2026, 1, 2)),
        lambda: clock.to_utc(utc(2026, 1, 1), LONDON),
        lambda: clock.pieces(utc(2026, 1, 2), utc(2026, 1, 2)),
        lambda: clock.rounded_up_minutes(0),
    ):
        with pytest.raises(BadInput):
            call()
