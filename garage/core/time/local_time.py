"""The garage's local time and the instants behind it, correct across both clock changes. Nothing here reads a clock."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from garage.core.errors import BadInput, Refused
from garage.core.text.languages import told
from garage.core.time.clock import day_in_words, instant
from garage.core.time.day_minutes import DAY_MIN, minute_of


@dataclass(frozen=True, slots=True)
class LocalTime:
    """The wall clock and the days of one place. Arguments named `at` are aware instants.

    >>> london = LocalTime.named("Europe/London")
    >>> london.day(datetime(2026, 6, 30, 23, 30, tzinfo=UTC)).isoformat()
    '2026-07-01'
    """

    zone: tzinfo

    @classmethod
    def named(cls, name: str) -> LocalTime:
        """The local time of an IANA time zone. BadInput if there is no such zone."""
        try:
            return cls(ZoneInfo(name))
        except (ZoneInfoNotFoundError, ValueError, OSError) as error:
            raise BadInput("time zone", name, "a name such as Europe/London") from error

    def to_utc(self, wall: datetime) -> datetime:
        """The instant at which the wall clock shows `wall` (naive), for a time that a person has chosen.

        In the repeated hour in autumn the first one is meant, before the clocks go back, unless wall.fold is 1. A time
        in the skipped hour in spring raises Refused: the round trip through UTC changes it, which is how it is
        detected. Source: PEP 495; clock changes from the tz database.

        >>> LocalTime.named("Europe/London").to_utc(datetime(2026, 10, 25, 1, 30)).isoformat()
        '2026-10-25T00:30:00+00:00'
        """
        found = self.to_utc_or_after(wall)
        if found.astimezone(self.zone).replace(tzinfo=None) != wall:
            raise Refused(
                f"There is no {wall:%H:%M} on {day_in_words(wall.date())}: the clocks go forward past it. "
                "Choose a time before or after."
            )
        return found

    def to_utc_or_after(self, wall: datetime) -> datetime:
        """As to_utc, but a time in the skipped hour is moved later by the length of the change. For opening hours.

        >>> LocalTime.named("Europe/London").to_utc_or_after(datetime(2026, 3, 29, 1, 30)).isoformat()
        '2026-03-29T01:30:00+00:00'
        """
        if wall.tzinfo is not None:
            raise BadInput("local time", wall, "a time without a zone: the garage's is meant")
        return wall.replace(tzinfo=self.zone).astimezone(UTC)

    def shown(self, at: datetime) -> datetime:
        """The wall clock at that instant, with its zone."""
        return instant(at).astimezone(self.zone)

    def day(self, at: datetime) -> date:
        """The local day of the instant."""
        return self.shown(at).date()

    def bounds(self, first: date, last: date) -> tuple[datetime, datetime]:
        """The first instant of the first day and of the day after the last: 23, 24 or 25 hours apart for one day.

        >>> day = date(2026, 10, 25)
        >>> begin, end = LocalTime.named("Europe/London").bounds(day, day)
        >>> (end - begin).total_seconds() / 3600
        25.0
        """
        return self.at_minute(first, 0), self.at_minute(last + timedelta(days=1), 0)

    def minute_of_day(self, at: datetime) -> int:
        """The wall clock in minutes since its 00:00, 0 to 1439. Seconds are dropped."""
        return minute_of(self.shown(at).time())

    def minute_from(self, day: date, at: datetime) -> int:
        """Wall-clock minutes from that day's midnight: below 0 on earlier days, 1440 or more on later ones."""
        return (self.day(at) - day).days * DAY_MIN + self.minute_of_day(at)

    def at_minute(self, day: date, minute: int) -> datetime:
        """The instant at which the wall clock shows that minute of the day. 1440 is the midnight that ends it.

        Of a repeated minute the first is taken, a skipped one is moved later by the change. BadInput outside 0 to 1440.
        """
        if not 0 <= minute <= DAY_MIN:
            raise BadInput("minute of the day", minute, "0 to 1440")
        if minute == DAY_MIN:
            return self.at_minute(day + timedelta(days=1), 0)
        return self.to_utc_or_after(datetime.combine(day, time(minute // 60, minute % 60)))

    def in_words(self, at: datetime) -> str:
        """Local day and time in words. In the repeated hour it says which of the two is meant.

        >>> LocalTime.named("Europe/London").in_words(datetime(2026, 7, 1, 8, 30, tzinfo=UTC))
        'Wednesday 1 July 2026, 09:30'
        """
        local = self.shown(at)
        said = f"{day_in_words(local.date())}, {local:%H:%M}"
        if local.replace(fold=0).utcoffset() == local.replace(fold=1).utcoffset():
            return said
        if local.fold:
            return told("{when} (after the clocks go back)", when=said)
        return told("{when} (before the clocks go back)", when=said)
