from datetime import UTC, datetime, timedelta

from garage.core.selling.proposals import soonest_apart

NINE = datetime(2026, 11, 23, 9, tzinfo=UTC)


def test_the_soonest_is_proposed_first_and_no_two_overlap():
    times = [NINE + timedelta(minutes=15 * quarter) for quarter in (0, 1, 2, 3, 4, 9, 10)]
    assert [f"{at:%H:%M}" for at in soonest_apart(times, 50, 3)] == ["09:00", "10:00", "11:15"]
    assert soonest_apart(times, 50, 1) == [NINE]


def test_fewer_than_wanted_are_all_there_are():
    assert soonest_apart([NINE], 50, 3) == [NINE]
    assert soonest_apart([], 50, 3) == []
