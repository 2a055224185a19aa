"""On which days the garage is open, its hours, and why it is closed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from functools import lru_cache
from types import MappingProxyType

import holidays

from garage.core.errors import BadInput
from garage.core.time.clock import WEEKDAYS
from garage.core.time.local_time import LocalTime
from garage.core.time.roller_hours import RollerHours, Spans


@lru_cache(maxsize=32)
def bank_holidays(country: str, part: str, first_year: int, last_year: int) -> Mapping[date, str]:
    """Bank holidays by day, both years included. A weekend day with a substitute day is listed too.

    country: ISO 3166 code (GB). part: its subdivision (ENG, WLS, SCT, NIR), or "" for the whole country.
    Raises BadInput where the library does not know them. Source: the holidays library, checked against gov.uk's list.

    >>> bank_holidays("GB", "ENG", 2026, 2026)[date(2026, 8, 31)]
    'Late Summer Bank Holiday'
    """
    try:
        found = holidays.country_holidays(country, subdiv=part or None, years=range(first_year, last_year + 1))
    except (NotImplementedError, AttributeError, KeyError) as error:
        allowed = "a country and part with known bank holidays, such as GB and ENG"
        raise BadInput("country", f"{country} {part}".strip(), allowed) from error
    return MappingProxyType(dict(found.items()))


@dataclass(frozen=True)
class Hours:
    """Local times of one day. closes is after opens."""

    opens: time
    closes: time
    rollers: RollerHours = field(default_factory=RollerHours)


@dataclass(frozen=True)
class OpenDays:
    """The garage's week and its exceptions. by_weekday: 0 is Monday, a missing weekday is closed.

    closed: extra closed days with their reasons. open_after_all: bank holidays that are worked. A day in `closed` is
    always closed, and a bank holiday is closed unless it is in open_after_all.
    """

    by_weekday: Mapping[int, Hours]
    bank_holidays: Mapping[date, str] = field(default_factory=dict)
    closed: Mapping[date, str] = field(default_factory=dict)
    open_after_all: frozenset[date] = frozenset()

    def why_closed(self, day: date) -> str:
        """Why the garage is closed, in a few words. Empty when it is open.

        >>> OpenDays({0: Hours(time(8), time(17))}).why_closed(date(2026, 11, 29))
        'closed on Sundays'
        """
        if day in self.closed:
            return self.closed[day]
        if day.weekday() not in self.by_weekday:
            return f"closed on {WEEKDAYS[day.weekday()]}s"
        if day in self.bank_holidays and day not in self.open_after_all:
            return f"bank holiday: {self.bank_holidays[day]}"
        return ""

    def opening(self, day: date, local: LocalTime) -> tuple[datetime, datetime] | None:
        """The instants, in UTC, at which the garage opens and closes that day. None when it is closed."""
        if self.why_closed(day):
            return None
        hours = self.by_weekday[day.weekday()]
        return (
            local.to_utc_or_after(datetime.combine(day, hours.opens)),
            local.to_utc_or_after(datetime.combine(day, hours.closes)),
        )

    def quiet_rollers(self, day: date) -> Spans:
        """The minutes of that day in which no roller may run. Empty on a closed day: nothing is planned then.

        >>> OpenDays({0: Hours(time(8), time(17), RollerHours(ends=time(16)))}).quiet_rollers(date(2026, 11, 30))
        ((960, 1440),)
        """
        return () if self.why_closed(day) else self.by_weekday[day.weekday()].rollers.quiet

    def days(self, first: date, last: date) -> Iterator[date]:
        """The open days from first to last, inclusive."""
        for ahead in range((last - first).days + 1):
            day = first + timedelta(days=ahead)
            if not self.why_closed(day):
                yield day
