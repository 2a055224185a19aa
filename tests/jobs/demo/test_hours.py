"""At each hour of a week the demo plays when its garage is open and busy, and says so where its clock was moved."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from garage.core.time.open_days import bank_holidays
from jobs.demo.garage import CLOSES, OPENS
from jobs.demo.hours import is_busy, played_at

HOLIDAYS = bank_holidays("GB", "ENG", 2025, 2028)
MONDAYS = [datetime(2026, 11, 30, tzinfo=UTC), datetime(2027, 6, 7, tzinfo=UTC), datetime(2026, 12, 21, tzinfo=UTC)]


@pytest.mark.parametrize("monday", MONDAYS, ids=["winter", "summer", "Christmas"])
def test_at_each_hour_of_a_week_the_garage_is_open_and_busy(monday):
    for hour in range(7 * 24):
        for minute in (0, 29, 31):
            now = monday + timedelta(hours=hour, minutes=minute)
            at = played_at(now, HOLIDAYS)
            wall = now.astimezone(ZoneInfo(at.zone))  # by the tz database, whose signs are POSIX's
            assert is_busy(wall.hour * 60 + wall.minute), now
            assert OPENS <= wall.time() < CLOSES
            assert wall.weekday() in at.weekdays
            assert wall.date() not in HOLIDAYS or at.worked == wall.date()


@pytest.mark.parametrize("hour", range(24))
def test_its_clock_is_moved_no_further_than_it_must_be(hour):
    now = datetime(2027, 6, 9, hour, 10, tzinfo=ZoneInfo("Europe/London"))
    wall = now.astimezone(ZoneInfo(played_at(now, {}).zone))
    moved = (wall.replace(tzinfo=None) - now.replace(tzinfo=None)) // timedelta(hours=1)
    busy = [by for by in range(-14, 15) if (hour + by) * 60 + 10 in {670, 850}]  # 11:10 and 14:10
    assert moved in {by for by in busy if abs(by) == min(map(abs, busy))}


@pytest.mark.parametrize(
    ("now", "words"),
    [
        ("2026-11-25 11:00", ""),
        ("2026-11-28 11:00", "first started on Saturday at 11:00, so its garage works that day."),
        ("2026-11-29 03:00", "first started on Sunday at 03:00, when its clock was put to 11:00."),
        ("2026-11-28 22:30", "first started on Saturday at 22:30, when its clock was put to 14:30."),
        ("2026-12-25 11:00", "works that day"),
    ],
)
def test_it_says_when_it_was_moved(now, words):
    at = played_at(datetime.fromisoformat(now).replace(tzinfo=ZoneInfo("Europe/London")), HOLIDAYS)
    assert words in at.words
    assert bool(words) == bool(at.words)
