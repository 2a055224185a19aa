"""When the demo plays: at whatever hour it is loaded, its garage is open and busy."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from garage.core.time.clock import WEEKDAYS
from garage.core.time.local_time import LocalTime

WORKDAYS = range(5)  # Monday to Friday
# Local minutes, an hour each: a machine is on the rollers, another failed its gate. Towards noon none has a free time.
BUSY_MIN = ((10 * 60 + 30, 11 * 60 + 30), (14 * 60, 15 * 60))
HOME_ZONE = "Europe/London"


@dataclass(frozen=True)
class PlayedAt:
    """zone: of the garage's clock. weekdays: that it works, 0 is Monday. worked: a bank holiday worked. words: what
    its pages say of it; empty where the garage would be busy anyhow.
    """

    zone: str
    weekdays: tuple[int, ...]
    worked: date | None = None
    words: str = ""


def played_at(now: datetime, holidays: Mapping[date, str]) -> PlayedAt:
    """The nearest busy hours: the garage's clock is put forward or back by whole hours, and works that day after all.

    now: aware. holidays: those of the days around now.

    >>> from datetime import UTC
    >>> sunday = played_at(datetime(2026, 11, 29, 3, tzinfo=UTC), {})
    >>> sunday.zone, sunday.weekdays
    ('Etc/GMT-8', (0, 1, 2, 3, 4, 6))
    >>> played_at(datetime(2026, 11, 25, 11, tzinfo=UTC), {}).words
    ''
    """
    home = LocalTime.named(HOME_ZONE)
    hours = next(by for by in sorted(range(-12, 13), key=abs) if is_busy(home.minute_of_day(now) + 60 * by))
    zone = _moved(now, hours) if hours else HOME_ZONE
    local = LocalTime.named(zone)
    day = local.day(now)
    weekdays = tuple(sorted({*WORKDAYS, day.weekday()}))
    worked = day if day in holidays else None
    if zone == HOME_ZONE and day.weekday() in WORKDAYS and not worked:
        return PlayedAt(zone, weekdays)
    return PlayedAt(zone, weekdays, worked, _words(now, home, local))


def is_busy(minute: int) -> bool:
    """minute: of a local day, or so many before or after it."""
    return any(first <= minute < last for first, last in BUSY_MIN)


def _moved(now: datetime, hours: int) -> str:
    """The zone of a clock that many hours before London's. Its sign is turned round (POSIX): Etc/GMT-3 is east."""
    home = LocalTime.named(HOME_ZONE)
    summer = home.zone.utcoffset(now.astimezone(home.zone).replace(tzinfo=None)) or timedelta(0)
    east = hours + summer // timedelta(hours=1)
    return f"Etc/GMT{-east:+d}" if east else "Etc/GMT"


def _words(now: datetime, home: LocalTime, local: LocalTime) -> str:
    started, plays = _wall(now, home), _wall(now, local)
    first = f"Demo: first started on {WEEKDAYS[started.weekday()]} at {started:%H:%M}"
    if started == plays:
        return f"{first}, so its garage works that day."
    on = "" if started.date() == plays.date() else f"{WEEKDAYS[plays.weekday()]} "
    return f"{first}, when its clock was put to {on}{plays:%H:%M}."


def _wall(now: datetime, local: LocalTime) -> datetime:
    return now.astimezone(local.zone).replace(tzinfo=None)
