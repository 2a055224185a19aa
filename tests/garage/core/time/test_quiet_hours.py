from datetime import UTC, datetime

import pytest

from garage.core.time.local_time import LocalTime
from garage.core.time.quiet_hours import QuietHours

LONDON = LocalTime.named("Europe/London")
NIGHT = QuietHours(20 * 60, 8 * 60)
DINNER = QuietHours(12 * 60, 13 * 60)
NONE = QuietHours(0, 0)


def at(text):
    return datetime.fromisoformat(text).replace(tzinfo=UTC)


@pytest.mark.parametrize(("minute", "quiet"), [(0, True), (479, True), (480, False), (1199, False), (1200, True)])
def test_a_night_lies_across_midnight(minute, quiet):
    assert NIGHT.covers(minute) is quiet


def test_quiet_hours_within_a_day_and_none_at_all():
    assert [DINNER.covers(minute) for minute in (719, 720, 779, 780)] == [False, True, True, False]
    assert not any(NONE.covers(minute) for minute in (0, 1, 720, 1439))


@pytest.mark.parametrize(
    ("moment", "evening", "morning"),
    [
        ("2026-01-14T12:00", "2026-01-14T12:00", "2026-01-14T12:00"),  # by day: as it is
        ("2026-01-14T22:30", "2026-01-14T19:00", "2026-01-15T08:00"),
        ("2026-01-15T03:00", "2026-01-14T19:00", "2026-01-15T08:00"),  # the night began the day before
        ("2026-07-14T19:30", "2026-07-14T18:00", "2026-07-15T07:00"),  # 20:30 by the clock in summer
        ("2026-03-29T00:30", "2026-03-28T19:00", "2026-03-29T07:00"),  # the clocks go forward in this night
        ("2026-10-25T01:30", "2026-10-24T18:00", "2026-10-25T08:00"),  # and back in this one
    ],
)
def test_what_falls_into_the_night_goes_before_it_or_after_it_by_the_wall_clock(moment, evening, morning):
    assert NIGHT.not_at_night(at(moment), LONDON) == at(evening)
    assert NIGHT.morning_after(at(moment), LONDON) == at(morning)
    assert NIGHT.is_quiet(at(moment), LONDON) is (moment != evening)


def test_quiet_hours_within_a_day_begin_and_end_on_that_day():
    assert DINNER.not_at_night(at("2026-01-14T12:20"), LONDON) == at("2026-01-14T11:00")
    assert DINNER.morning_after(at("2026-01-14T12:20"), LONDON) == at("2026-01-14T13:00")
