"""The periods most often chosen in the book."""

from __future__ import annotations

from calendar import monthrange
from datetime import date, timedelta


def month_of(day: date) -> tuple[date, date]:
    """The first and last day of the day's month.

    >>> month_of(date(2028, 2, 11))
    (datetime.date(2028, 2, 1), datetime.date(2028, 2, 29))
    """
    return day.replace(day=1), day.replace(day=monthrange(day.year, day.month)[1])


def periods(day: date) -> list[tuple[str, date, date]]:
    """Each period's name, first day and last day.

    >>> [(words, str(first)) for words, first, _ in periods(date(2027, 1, 20))][2:4]
    [('last month', '2026-12-01'), ('this quarter', '2027-01-01')]
    """
    first, last = month_of(day)
    quarter = day.replace(month=(day.month - 1) // 3 * 3 + 1, day=1)
    return [
        ("today", day, day),
        ("this month", first, last),
        ("last month", *month_of(first - timedelta(days=1))),
        ("this quarter", quarter, month_of(quarter.replace(month=quarter.month + 2))[1]),
        ("this year", day.replace(month=1, day=1), day.replace(month=12, day=31)),
    ]
