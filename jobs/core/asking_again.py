"""When an owner who was asked about more work and has not answered is asked once more."""

from __future__ import annotations

from datetime import date, datetime, timedelta

from garage.core.time.local_time import LocalTime
from garage.core.time.open_days import OpenDays


def ask_again_at(asked_at: datetime, hours: int, days: OpenDays, local: LocalTime, *, last: date) -> datetime | None:
    """So many hours after it was asked, of which only those of open days count, each from midnight to midnight: nobody
    is pressed for what was asked before a weekend.

    asked_at: an aware instant. hours: 1 or more. days: of that day until last. None if last comes first.

    >>> from datetime import UTC, time
    >>> from garage.core.time.open_days import Hours
    >>> on_weekdays = OpenDays({weekday: Hours(time(8), time(17)) for weekday in range(5)})
    >>> friday_noon = datetime(2026, 3, 6, 12, tzinfo=UTC)
    >>> ask_again_at(friday_noon, 24, on_weekdays, LocalTime(UTC), last=date(2026, 3, 31)).isoformat()
    '2026-03-09T12:00:00+00:00'
    """
    left = timedelta(hours=hours)
    for day in days.days(local.day(asked_at), last):
        begins, ends = local.bounds(day, day)
        begins = max(begins, asked_at)
        if begins + left <= ends:
            return begins + left
        left -= ends - begins
    return None
