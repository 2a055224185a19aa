"""An online booking is held until its owner presses the mailed link, or a person of the workshop confirms it."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta

from garage.core.duplicates import strong_signs

MOST_MAILS_A_DAY = 4  # to one address that has proved nothing yet: two times two visits; common practice, no source


def held_until(
    now: datetime, hours: int, opening: Iterable[tuple[datetime, datetime]], starts_at: datetime
) -> datetime:
    """When a time that nobody has confirmed is free again: after so many hours in which the garage is open, since the
    desk must have had time to ring, and never after it begins.

    opening: of today and the days after it, from when until when; aware instants, in order.
    """
    left = timedelta(hours=hours)
    for opens, closes in opening:
        begins = max(now, opens)
        if begins + left <= closes:
            return min(begins + left, starts_at)
        left -= max(closes - begins, timedelta(0))
    return starts_at


def mail_without_tag(email: str) -> str:
    """What comes after a plus sign leads into the same mailbox (RFC 5233).

    >>> mail_without_tag("robin+two@example.org")
    'robin@example.org'
    """
    name, at, host = email.strip().rpartition("@")
    return f"{name.partition('+')[0]}{at}{host}"


def visits_of_one(email: str, telephone: str, contacts: Iterable[tuple[str, str]]) -> int:
    """How many of these visits, each with the mail address and telephone of its owner, are of whoever has one of both.

    >>> visits_of_one("a@example.org", "07700 900123", [("A+2@example.org", ""), ("", "+447700900123"), ("b@x", "")])
    2
    """
    mine = _signs(email, telephone)
    return sum(not mine.isdisjoint(_signs(*contact)) for contact in contacts)


def _signs(email: str, telephone: str) -> set[tuple[str, str]]:
    return set(strong_signs(mail_without_tag(email), telephone))


def why_braked(waiting: int, in_an_hour: int, *, most_waiting: int, most_in_an_hour: int) -> str:
    """What the desk is told while nobody can book online; empty while everybody can.

    waiting: booked online and not confirmed yet. in_an_hour: booked online within the last hour.

    >>> why_braked(10, 3, most_waiting=10, most_in_an_hour=20)
    'Online bookings that wait to be confirmed: 10, which is the most at a time.'
    """
    if waiting >= most_waiting:
        return f"Online bookings that wait to be confirmed: {waiting}, which is the most at a time."
    if in_an_hour >= most_in_an_hour:
        return f"Times booked online within the last hour: {in_an_hour}, which is the most."
    return ""
