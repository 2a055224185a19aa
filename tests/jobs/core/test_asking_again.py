from datetime import UTC, date, datetime, time

import pytest

from garage.core.time.local_time import LocalTime
from garage.core.time.open_days import Hours, OpenDays
from jobs.core.asking_again import ask_again_at

LONDON = LocalTime.named("Europe/London")
ON_WEEKDAYS = OpenDays({weekday: Hours(time(8), time(17)) for weekday in range(5)}, closed={date(2026, 3, 9): "a fair"})
LAST = date(2026, 4, 30)


@pytest.mark.parametrize(
    ("asked_at", "hours", "then"),
    [
        pytest.param("2026-03-03T12:00", 24, "2026-03-04T12:00", id="a day later in the week"),
        pytest.param("2026-03-06T12:00", 24, "2026-03-10T12:00", id="a weekend and a closed Monday do not count"),
        pytest.param("2026-03-07T12:00", 24, "2026-03-11T00:00", id="asked on a closed day it counts from the next"),
        pytest.param("2026-03-03T23:30", 1, "2026-03-04T00:30", id="over midnight"),
        pytest.param("2026-03-27T12:00", 24, "2026-03-30T11:00", id="on the wall clock when the clocks went forward"),
    ],
)
def test_hours_of_open_days_are_counted(asked_at, hours, then):
    asked, expected = (datetime.fromisoformat(at).replace(tzinfo=UTC) for at in (asked_at, then))
    assert ask_again_at(asked, hours, ON_WEEKDAYS, LONDON, last=LAST) == expected


def test_of_a_garage_that_opens_no_more_nobody_is_asked_again():
    assert ask_again_at(datetime(2026, 3, 3, tzinfo=UTC), 24, OpenDays({}), LONDON, last=LAST) is None
