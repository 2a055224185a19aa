"""Instants and pieces, against the tz database's published changes and lengths."""

# ruff: noqa: DTZ001  wall-clock times without a zone are what is tested

from datetime import UTC, date, datetime, timedelta
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from garage.core.errors import BadInput
from garage.core.time import clock
from garage.core.time.local_time import LocalTime

LONDON = LocalTime.named("Europe/London")


def utc(*parts):
    return datetime(*parts, tzinfo=UTC)


# Lengths (from tzdata): 00:30 to 02:30 on 2026-03-29 is 1 h; noon 24 to noon 25 October 2026 is 25 h.
def test_lengths_across_a_clock_change_are_real_time():
    begin, end = (LONDON.shown(utc(2026, 3, 29, *at)) for at in ((0, 30), (1, 30)))
    assert end - begin == timedelta(hours=2)  # what the library says within one zone
    assert clock.minutes_between(begin, end) == 60
    noons = [LONDON.to_utc(datetime(2026, 10, day, 12)) for day in (24, 25)]
    assert clock.minutes_between(*noons) == 25 * 60


def test_pieces_run_on_through_a_change():
    begin = LONDON.to_utc(datetime(2026, 10, 25, 1, 50))
    end = LONDON.to_utc(datetime(2026, 10, 25, 1, 10, fold=1))
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


def test_two_times_that_meet_share_no_piece_and_two_that_overlap_do():
    ten, half_past = utc(2026, 11, 25, 10), utc(2026, 11, 25, 10, 30)
    after = set(clock.pieces(half_past, half_past + timedelta(minutes=30)))
    assert not set(clock.pieces(ten, half_past)) & after
    assert set(clock.pieces(ten, half_past + timedelta(minutes=1))) & after


def test_naive_instants_and_times_of_no_length_are_refused_in_words():
    for call, said in (
        (
            lambda: clock.pieces(datetime(2026, 1, 1), datetime(2026, 1, 2)),
            "instant is 2026-01-01 00:00:00; allowed is a time with its zone.",
        ),
        (
            lambda: clock.pieces(utc(2026, 1, 2, 9), utc(2026, 1, 2, 9)),
            "end is 2026-01-02 09:00:00+00:00; allowed is a time after 09:00.",
        ),
    ):
        with pytest.raises(BadInput) as refused:
            call()
        assert str(refused.value) == said


def test_the_first_and_the_last_month_and_weekday_have_their_names():
    assert clock.day_in_words(date(2027, 1, 4)) == "Monday 4 January 2027"
    assert clock.day_in_words(date(2027, 12, 26)) == "Sunday 26 December 2027"
