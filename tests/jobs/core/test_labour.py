"""Labour by the clock: what counts once and what twice. The rules are the garage's own."""

# ruff: noqa: DTZ001  wall-clock times without a zone are what is tested

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from garage.core.errors import BadInput
from jobs.core.labour import Spell, worked_minutes

NINE = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)


def spell(by, begins, ends):
    end = None if ends is None else NINE + timedelta(minutes=ends)
    return Spell(by, NINE + timedelta(minutes=begins), end)


def test_two_people_count_twice_and_one_person_once():
    assert worked_minutes([spell("jo", 0, 60), spell("al", 0, 60)], NINE) == 120
    assert worked_minutes([spell("jo", 0, 60), spell("jo", 30, 90), spell("jo", 40, 50)], NINE) == 90


def test_a_running_clock_counts_up_to_now():
    assert worked_minutes([spell("jo", 0, None)], NINE + timedelta(minutes=25)) == 25
    assert worked_minutes([spell("jo", 10, None)], NINE) == 0


def test_the_sum_is_rounded_down_to_minutes_but_seconds_add_up():
    half = timedelta(seconds=30)
    two = [Spell("jo", NINE, NINE + half), Spell("al", NINE, NINE + half)]
    assert worked_minutes(two[:1], NINE) == 0
    assert worked_minutes(two, NINE) == 1


def test_labour_across_the_end_of_summer_time_is_the_time_that_really_passed():
    london = ZoneInfo("Europe/London")
    begin, end = datetime(2026, 10, 25, 0, 30, tzinfo=london), datetime(2026, 10, 25, 2, 30, tzinfo=london)
    assert worked_minutes([Spell("jo", begin, end)], NINE) == 180  # the clocks go back at 01:00 UTC: three hours


@settings(suppress_health_check=[HealthCheck.too_slow], deadline=None)
@given(st.lists(st.tuples(st.sampled_from("ab"), st.integers(0, 60), st.integers(0, 60)), max_size=6))
def test_minutes_agree_with_counting_minute_by_minute(found):
    spells = [spell(by, begins, begins + length) for by, begins, length in found]
    counted = {(by, minute) for by, begins, length in found for minute in range(begins, begins + length)}
    assert worked_minutes(spells, NINE) == len(counted)


def test_a_clock_that_was_started_in_the_future_takes_nothing_from_others():
    assert worked_minutes([spell("jo", 0, 20), spell("jo", 30, None)], NINE + timedelta(minutes=25)) == 20


def test_a_running_clock_of_the_same_person_counts_once():
    assert worked_minutes([spell("jo", 0, None), spell("jo", 10, 20)], NINE + timedelta(minutes=25)) == 25


def test_a_clock_may_stop_in_the_minute_in_which_it_began():
    assert worked_minutes([spell("jo", 5, 5)], NINE) == 0


@pytest.mark.parametrize(
    ("make", "said"),
    [
        (lambda: spell("jo", 10, 9), "labour's stop is '09:09'; allowed is a time not before its start, 09:10."),
        (
            lambda: Spell("jo", datetime(2026, 1, 1), None),
            "labour is 2026-01-01 00:00:00; allowed is times with a time zone.",
        ),
        (
            lambda: Spell("jo", NINE, datetime(2026, 11, 25, 10)),
            f"labour is {NINE}; allowed is times with a time zone.",
        ),
    ],
)
def test_bad_input_is_refused_in_words(make, said):
    with pytest.raises(BadInput) as refused:
        make()
    assert str(refused.value) == said
