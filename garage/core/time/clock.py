"""Local time of the garage and the instants behind it; both clock changes are right. Nothing here reads a clock.

Everything is stored and compared as aware UTC. Local time is for people only: it skips an hour in spring, has one
twice in autumn, and differences taken in it are wrong over a change. Arguments called `..._at` are aware instants.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from garage.core.errors import BadInput, Refused

PIECE = timedelta(minutes=5)  # the piece in which time is sold
PIECE_MINUTES = 5
MINUTES_A_DAY = 1440
EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
MONTHS = (
    *("January", "February", "March", "April", "May", "June", "July"),
    *("August", "September", "October", "November", "December"),
)


def zone(name: str) -> ZoneInfo:
    """The time zone of that IANA name; BadInput where there is none.

    >>> zone("Europe/London").key
    'Europe/London'
    """
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError) as error:
        raise BadInput("time zone", name, "a name such as Europe/London") from error


def to_utc(wall: datetime, where: ZoneInfo) -> datetime:
    """The instant at which the garage's wall clock shows `wall` (naive), for times that a person has chosen.

    In the hour that autumn has twice the first is meant, while summer time still runs, unless wall.fold is 1.
    A time in the hour that spring leaves out raises Refused: found by the round trip, since it comes back changed.
    Source: PEP 495; instants of the changes from the tz database.

    >>> to_utc(datetime(2026, 10, 25, 1, 30), zone("Europe/London")).isoformat()
    '2026-10-25T00:30:00+00:00'
    """
    instant = to_utc_or_after(wall, where)
    if instant.astimezone(where).replace(tzinfo=None) != wall:
        raise Refused(
            f"There is no {wall:%H:%M} on {day_in_words(wall.date())}: the clocks go forward past it. "
            "Choose a time before or after."
        )
    return instant


def to_utc_or_after(wall: datetime, where: ZoneInfo) -> datetime:
    """As to_utc, but a time that spring leaves out counts as much later as the clocks go forward: opening hours.

    >>> to_utc_or_after(datetime(2026, 3, 29, 1, 30), zone("Europe/London")).isoformat()
    '2026-03-29T01:30:00+00:00'
    """
    if wall.tzinfo is not None:
        raise BadInput("local time", wall, "a time without a zone: the garage's is meant")
    return wall.replace(tzinfo=where).astimezone(UTC)


def to_local(at: datetime, where: ZoneInfo) -> datetime:
    """What the garage's wall clock shows at that instant, with its zone."""
    return _instant(at).astimezone(where)


def local_day(at: datetime, where: ZoneInfo) -> date:
    """The day in local time on which the instant falls.

    >>> local_day(datetime(2026, 6, 30, 23, 30, tzinfo=UTC), zone("Europe/London")).isoformat()
    '2026-07-01'
    """
    return to_local(at, where).date()


def day_bounds(day: date, where: ZoneInfo) -> tuple[datetime, datetime]:
    """First instant of the local day and first of the next: 23, 24 or 25 hours apart.

    >>> begin, end = day_bounds(date(2026, 10, 25), zone("Europe/London"))
    >>> (end - begin).total_seconds() / 3600
    25.0
    """
    next_day = day + timedelta(days=1)
    return (
        to_utc_or_after(datetime.combine(day, time(0)), where),
        to_utc_or_after(datetime.combine(next_day, time(0)), where),
    )


def minute_of_day(at: datetime, where: ZoneInfo) -> int:
    """What the wall clock shows, as minutes since its 00:00, 0 to 1439; seconds are dropped."""
    local = to_local(at, where)
    return local.hour * 60 + local.minute


def at_minute(day: date, minute: int, where: ZoneInfo) -> datetime:
    """The instant at which the wall clock shows that minute of the day; 1440 is the midnight that ends it.

    Of a doubled minute the first, a missing one moved on by the change. BadInput outside 0 to 1440.
    """
    if not 0 <= minute <= MINUTES_A_DAY:
        raise BadInput("minute of the day", minute, "0 to 1440")
    if minute == MINUTES_A_DAY:
        return day_bounds(day, where)[1]
    return to_utc_or_after(datetime.combine(day, time(minute // 60, minute % 60)), where)


def minutes_between(begins_at: datetime, ends_at: datetime) -> float:
    """Minutes that really pass, whatever the clocks do between.

    Aware subtraction within one zone compares wall clocks and is an hour off over a change: both go to UTC first.
    """
    return (_instant(ends_at) - _instant(begins_at)).total_seconds() / 60


def rounded_up_minutes(minutes: int) -> int:
    """A length rounded up to whole five-minute pieces, as it is sold.

    >>> [rounded_up_minutes(each) for each in (1, 5, 41)]
    [5, 5, 45]
    """
    if minutes <= 0:
        raise BadInput("minutes", minutes, "a length above 0")
    return -(-minutes // PIECE_MINUTES) * PIECE_MINUTES


def pieces(begins_at: datetime, ends_at: datetime) -> tuple[datetime, ...]:
    """Begin, in UTC, of every whole five-minute piece that the time from begins_at up to ends_at touches.

    >>> ten = datetime(2026, 11, 25, 10, 0, tzinfo=UTC)
    >>> [f"{piece:%H:%M}" for piece in pieces(ten, ten + timedelta(minutes=11))]
    ['10:00', '10:05', '10:10']
    """
    begin, end = _instant(begins_at), _instant(ends_at)
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


def in_words(at: datetime, where: ZoneInfo) -> str:
    """Local day and time as they are said; where the wall clock shows a time twice, which of the two.

    >>> in_words(datetime(2026, 7, 1, 8, 30, tzinfo=UTC), zone("Europe/London"))
    'Wednesday 1 July 2026, 09:30'
    """
    local = to_local(at, where)
    said = f"{day_in_words(local.date())}, {local:%H:%M}"
    if local.replace(fold=0).utcoffset() == local.replace(fold=1).utcoffset():
        return said
    return f"{said} ({'after' if local.fold else 'before'} the clocks go back)"


def _instant(at: datetime) -> datetime:
    if at.tzinfo is None:
        raise BadInput("instant", at, "a time with its zone")
    return at.astimezone(UTC)
