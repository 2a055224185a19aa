"""When the garage is open: its week, bank holidays and exceptions as rows, for the rules in core/time/open_days.py."""

from __future__ import annotations

from datetime import date, datetime, timedelta

from garage.core import states
from garage.core.time.local_time import LocalTime
from garage.core.time.open_days import OpenDays, bank_holidays
from garage.core.time.roller_hours import Spans, is_outside
from garage.models.shop import ROLLER, ClosedDay, OpeningHours, Shop
from garage.models.visits import Visit

LOOKED_AHEAD_DAYS = 60  # days looked through for the next working day: longer than a winter closing; common practice


def open_days(shop: Shop, first: date, last: date) -> OpenDays:
    """The opening rules for a stretch of days, inclusive, in two queries."""
    exceptions = list(ClosedDay.objects.filter(day__range=(first, last)))
    return OpenDays(
        by_weekday={row.weekday: row.hours for row in OpeningHours.objects.all()},
        bank_holidays=bank_holidays(shop.holiday_country, shop.holiday_part, first.year, last.year),
        closed={row.day: row.why for row in exceptions if not row.open_after_all},
        open_after_all=frozenset(row.day for row in exceptions if row.open_after_all),
    )


def quiet_rollers_of(weekday: int) -> Spans:
    """When no roller may run on such a day, open or not. One query: the pages that ask it have a session to begin."""
    row = OpeningHours.objects.filter(weekday=weekday).first()
    return row.hours.rollers.quiet if row else ()


def is_shut_at(at: str, starts_at: datetime, minutes: int, shop: Shop) -> bool:
    """Whether nothing can be sold there then: the day is closed, or the rollers may not run for the whole of it."""
    day, minute = shop.local_time.day(starts_at), shop.local_time.minute_of_day(starts_at)
    days = open_days(shop, day, day)
    quiet = days.quiet_rollers(day) if at == ROLLER else ()
    return bool(days.why_closed(day)) or is_outside(quiet, minute, minute + shop.strap_minutes + minutes)


def coming_between(first: date, last: date, local: LocalTime) -> list[str]:
    """The numbers of the visits with a time on these local days, inclusive, that are held or still to come."""
    begin, end = local.bounds(first, last)
    rows = Visit.objects.filter(state__in=states.COMING | {states.HELD}, starts_at__gte=begin, starts_at__lt=end)
    return [str(number) for number in rows.order_by("starts_at", "number").values_list("number", flat=True)]


def open_days_ahead(shop: Shop, day: date) -> OpenDays:
    """From that day as far as the working day after a closing is looked for."""
    return open_days(shop, day, day + timedelta(days=LOOKED_AHEAD_DAYS))


def closed_until(days: OpenDays, day: date) -> tuple[str, date | None]:
    """Why the garage is closed that day, and the working day after it, if one is in sight. Empty and None if open.

    days: of open_days_ahead.
    """
    why, last = days.why_closed(day), day + timedelta(days=LOOKED_AHEAD_DAYS)
    return why, next(days.days(day + timedelta(days=1), last), None) if why else None
