"""Instants, the five-minute pieces in which time is sold, and days and times in words.

Everything is stored and compared as aware UTC. Local time is only for people: it skips an hour in spring and repeats
one in autumn, so differences taken in it are wrong across a clock change (see local_time.py). Arguments named `..._at`
are aware instants. Nothing here reads a clock.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

from garage.core.errors import BadInput
from garage.core.text.languages import told, told_later
from garage.core.time.day_minutes import PIECE_MIN

PIECE = timedelta(minutes=PIECE_MIN)
EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
# What a garage looks up lies between. The computer's calendar ends with the years 1 and 9999: no day before and after.
EARLIEST_DAY, LATEST_DAY = date(2000, 1, 1), date(2099, 12, 31)
WEEKDAYS = (
    told_later("Monday"),
    told_later("Tuesday"),
    told_later("Wednesday"),
    told_later("Thursday"),
    told_later("Friday"),
    told_later("Saturday"),
    told_later("Sunday"),
)
MONTHS = (
    told_later("January"),
    told_later("February"),
    told_later("March"),
    told_later("April"),
    told_later("May"),
    told_later("June"),
    told_later("July"),
    told_later("August"),
    told_later("September"),
    told_later("October"),
    told_later("November"),
    told_later("December"),
)


def minutes_between(begins_at: datetime, ends_at: datetime) -> float:
    """Elapsed minutes, whatever the clocks do in between.

    Subtracting two aware times of one zone compares wall clocks and is an hour off across a clock change, so both are
    converted to UTC first.
    """
    return (instant(ends_at) - instant(begins_at)).total_seconds() / 60


def pieces(begins_at: datetime, ends_at: datetime) -> tuple[datetime, ...]:
    """The start, in UTC, of every five-minute piece that the time from begins_at up to ends_at touches.

    >>> ten = datetime(2026, 11, 25, 10, 0, tzinfo=UTC)
    >>> [f"{piece:%H:%M}" for piece in pieces(ten, ten + timedelta(minutes=11))]
    ['10:00', '10:05', '10:10']
    """
    begin, end = instant(begins_at), instant(ends_at)
    if end <= begin:
        raise BadInput("end", end, f"a time after {begin:%H:%M}")
    first = begin - (begin - EPOCH) % PIECE
    return tuple(first + PIECE * index for index in range(-((first - end) // PIECE)))


def day_in_words(day: date) -> str:
    """The day in the language in force, whatever the computer's.

    >>> day_in_words(date(2026, 11, 25))
    'Wednesday 25 November 2026'
    """
    weekday, month = told(WEEKDAYS[day.weekday()]), told(MONTHS[day.month - 1])
    return told("{weekday} {day} {month} {year}", weekday=weekday, day=day.day, month=month, year=day.year)


def day_read(text: str) -> date | None:
    """The day in ISO 8601, from EARLIEST_DAY to LATEST_DAY. None for anything else.

    >>> day_read("2026-11-25"), day_read("9999-12-31")
    (datetime.date(2026, 11, 25), None)
    """
    try:
        day = date.fromisoformat(text)
    except ValueError:
        return None
    return day if EARLIEST_DAY <= day <= LATEST_DAY else None


def instant(at: datetime) -> datetime:
    """The same instant in UTC. BadInput for a time without a zone."""
    if at.tzinfo is None:
        raise BadInput("instant", at, "a time with its zone")
    return at.astimezone(UTC)
