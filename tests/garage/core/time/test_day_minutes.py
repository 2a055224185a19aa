"""Minutes of a day as texts and back, and lengths in pieces."""

from datetime import time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from garage.core.errors import BadInput
from garage.core.time.day_minutes import DAY_MIN, PIECE_MIN, hhmm, minute_of, minute_read, rounded_up_min


@given(st.integers(0, DAY_MIN))
def test_each_minute_comes_back_from_its_text(minute):
    assert minute_read(hhmm(minute)) == minute


@pytest.mark.parametrize("text", ["9:05", "24:01", "12:60", "12:05 ", "1205", "\u0661\u0662:05", 725, None])
def test_a_text_that_is_not_a_time_is_refused_naming_its_field(text):
    with pytest.raises(BadInput) as refused:
        minute_read(text, "now")
    allowed = 'a time of day from "00:00" to "24:00"'
    assert (refused.value.where, refused.value.found, refused.value.allowed) == ("now", text, allowed)


def test_a_time_whose_field_has_no_name_is_called_a_time():
    with pytest.raises(BadInput, match=r"^time is '9:05'"):
        minute_read("9:05")


def test_the_last_minute_of_an_hour_and_of_a_day_are_times():
    assert (minute_read("09:59"), minute_read("23:59"), minute_of(time(23, 59))) == (599, 1439, 1439)


@given(st.floats(0.001, 2000))
def test_a_length_is_rounded_up_to_the_next_piece_and_no_further(minutes):
    rounded = rounded_up_min(minutes)
    assert rounded % PIECE_MIN == 0
    assert rounded - PIECE_MIN < minutes <= rounded


@pytest.mark.parametrize("minutes", [0, -5])
def test_no_length_is_refused(minutes):
    with pytest.raises(BadInput, match=rf"^minutes is {minutes}; allowed is a length above 0\.$"):
        rounded_up_min(minutes)
