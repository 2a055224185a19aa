"""Instants and the pieces in which time is sold, days in words, days and times as they are typed.

Everything is stored and compared as aware UTC. Local time is for people only: it skips an hour in spring, has one
twice in autumn, and differences taken in it are wrong over a change (local_time.py has it). Arguments called `..._at`
are aware instants. Nothing here reads a clock.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

from garage.core.errors import BadInput
from garage.core.time.day_minutes import PIECE_MIN

PIECE = timedelta(minutes=PIECE_MIN)
EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
MONTHS = (
    *("January", "February", "March", "April", "May", "June", "July"),
    *("August", "September", "October", "November", "December"),
)


def minutes_between(begins_at: datetime, ends_at: datetime) -> float:
    """Minutes that really pass, whatever the clocks do between.

    Aware subtraction within one zone compares wall clocks and is an hour off over a change: both go to UTC first.
    """
    return (instant(ends_at) - instant(begins_at)).total_seconds() / 60


def pieces(begins_at: datetime, ends_at: datetime) -> tuple[datetime, ...]:
    """Begin, in UTC, of every whole five-minute piece that the time from begins_at up to ends_at touches.

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
    """As it is said, whatever the machine's language.

    >>> day_in_words(date(2026, 11, 25))
    'Wednesday 25 November 2026'
    """
    return f"{WEEKDAYS[day.weekday()]} {day.day} {MONTHS[day.month - 1]} {day.year}"


def instant(at: datetime) -> datetime:
    """The same instant in UTC; BadInput for a time without its zone."""
    if at.tzinfo is None:
        raise BadInput("instant", at, "a time with its zone")
    return at.astimezone(UTC)
