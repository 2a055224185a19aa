"""The hours in which no reminder goes out: on the shop's wall clock, usually across midnight."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from garage.core.time.local_time import LocalTime

BEFORE_THE_NIGHT = timedelta(hours=1)  # what would fall into the night goes out in the hour before it


@dataclass(frozen=True, slots=True)
class QuietHours:
    """begins_min, ends_min: minutes of the local day, 0 to 1439. Both alike: there is no night.

    >>> QuietHours(20 * 60, 8 * 60).covers(7 * 60), QuietHours(20 * 60, 8 * 60).covers(8 * 60)
    (True, False)
    """

    begins_min: int
    ends_min: int

    def covers(self, minute: int) -> bool:
        """Whether that minute of a local day is quiet."""
        if self.begins_min <= self.ends_min:
            return self.begins_min <= minute < self.ends_min
        return minute >= self.begins_min or minute < self.ends_min

    def is_quiet(self, at: datetime, local: LocalTime) -> bool:
        return self.covers(local.minute_of_day(at))

    def not_at_night(self, at: datetime, local: LocalTime) -> datetime:
        """The instant itself, or if it is in the night an hour before that night begins."""
        if not self.is_quiet(at, local):
            return at
        is_after_midnight = self.ends_min < self.begins_min and local.minute_of_day(at) < self.ends_min
        evening = local.day(at) - timedelta(days=int(is_after_midnight))
        return local.at_minute(evening, self.begins_min) - BEFORE_THE_NIGHT

    def morning_after(self, at: datetime, local: LocalTime) -> datetime:
        """The instant itself, or if it is in the night the end of that night."""
        minute = local.minute_of_day(at)
        if not self.covers(minute):
            return at
        ahead = int(self.ends_min < self.begins_min and minute >= self.begins_min)
        return local.at_minute(local.day(at) + timedelta(days=ahead), self.ends_min)
