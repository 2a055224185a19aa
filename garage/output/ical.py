"""Calendar files made of plain values: of one booking (RFC 5545, RFC 5546), and feeds (RFC 5545, RFC 7986).

A feed is read again and again from one address. It has no METHOD, since nobody is sent anything, so DTSTAMP says when
what is told was last revised (RFC 5545, 3.8.7.2), as LAST-MODIFIED does. SEQUENCE counts an organizer's own revisions
and there is none. A calendar needs at least one component (3.6): a feed without entries says that its time is free.

A booking and each change of it are sent as PUBLISH, a cancellation as CANCEL. No reply is asked for. REQUEST would be
an invitation: it must name the owner as ATTENDEE, and mail programs then show buttons whose answers go to the shop's
address, where nobody acts on them. RSVP=FALSE does not remove those buttons. PUBLISH must not carry an ATTENDEE, may be
sent again with the same UID and a higher SEQUENCE to replace a changed time, and keeps the owner's name and address out
of a file that is easily passed on. CANCEL needs the same UID, a higher SEQUENCE than any sent before, STATUS:CANCELLED
and the ORGANIZER. Its ATTENDEE list may be empty, as it was when published. (RFC 5546, 3.2.1 and 3.2.5: from memory.
Observed: a cancel without a higher SEQUENCE is ignored.)
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Final, Literal
from unicodedata import category

from icalendar import Calendar, Event, FreeBusy, vCalAddress, vText

from garage.core.errors import BadInput

Method = Literal["PUBLISH", "CANCEL"]
PUBLISH: Final = "PUBLISH"
CANCEL: Final = "CANCEL"
MADE_BY = "-//Tickover//Booking//EN"
FEED_MADE_BY = "-//Tickover//Work of the day//EN"
FILE_NAME = "visit.ics"
FEED_TYPE = "text/calendar; charset=utf-8"
READ_AGAIN_AFTER = timedelta(
    minutes=15
)  # what a feed asks of calendars; most ask less often. Common practice, no source


@dataclass(frozen=True, slots=True)
class Entry:
    """One piece of work in a feed. uid: the same for as long as it is that piece of work. The instants are aware.

    revised_at: since when it is as it is told. is_sure: planned for certain, begun or done; else it may still move.
    """

    uid: str
    begins_at: datetime
    ends_at: datetime
    revised_at: datetime
    summary: str
    place: str
    is_sure: bool


def content_type(method: str) -> str:
    """The media type of the file in a mail. Its method parameter must match the file's own (RFC 5546)."""
    return f"text/calendar; charset=utf-8; method={method}"


def calendar_file(
    *,
    method: Method,
    uid: str,
    sequence: int,
    starts_at: datetime,
    ends_at: datetime,
    stamped_at: datetime,
    summary: str,
    place: str,
    words: str,
    organizer_name: str,
    organizer_mail: str,
) -> bytes:
    """One VEVENT in UTC, ready to be attached: CRLF, lines of at most 75 octets.

    uid: the same for the whole life of the booking. sequence: 0 for the first file, one more for each change and for
    the cancellation, so at least 1 for CANCEL. stamped_at: when this file is made. The three instants are aware.
    summary, place, words: plain text. Line breaks are kept, other control characters dropped. Raises BadInput.
    """
    _check(method, sequence, starts_at, ends_at, stamped_at)
    event = Event()
    event.add("uid", _clean(uid))
    event.add("sequence", sequence)
    event.add("dtstamp", stamped_at.astimezone(UTC))
    event.add("dtstart", starts_at.astimezone(UTC))
    event.add("dtend", ends_at.astimezone(UTC))
    event.add("summary", _clean(summary))
    event.add("location", _clean(place))
    event.add("description", _clean(words))
    event.add("status", "CANCELLED" if method == CANCEL else "CONFIRMED")
    event["organizer"] = _organizer(organizer_name, organizer_mail)
    calendar = Calendar()
    calendar.add("prodid", MADE_BY)
    calendar.add("version", "2.0")
    calendar.add("method", method)
    calendar.add_component(event)
    return bytes(calendar.to_ical())


def feed_file(
    entries: Iterable[Entry], *, name: str, uid: str, since: datetime, until: datetime, made_at: datetime
) -> bytes:
    """A VEVENT for each entry, in UTC; without any, one VFREEBUSY for the time from since to until.

    name: of the calendar. uid: of the time that is free. Raises BadInput.
    """
    calendar = Calendar()
    calendar.add("prodid", FEED_MADE_BY)
    calendar.add("version", "2.0")
    calendar.add("name", vText(_clean(name)))  # the library does not know it as text and would escape nothing
    calendar.add("refresh-interval", READ_AGAIN_AFTER, parameters={"VALUE": "DURATION"})
    for entry in entries:
        calendar.add_component(_event(entry))
    if not calendar.subcomponents:
        free = FreeBusy()
        free.add("uid", _clean(uid))
        free.add("dtstamp", made_at.astimezone(UTC))
        free.add("dtstart", since.astimezone(UTC))
        free.add("dtend", until.astimezone(UTC))
        calendar.add_component(free)
    return bytes(calendar.to_ical())


def _event(entry: Entry) -> Event:
    for where, at in (("begins_at", entry.begins_at), ("ends_at", entry.ends_at), ("revised_at", entry.revised_at)):
        if at.tzinfo is None:
            raise BadInput(where, at, "a time with its zone")
    if entry.ends_at <= entry.begins_at:
        raise BadInput("ends_at", entry.ends_at, f"a time after {entry.begins_at}")
    event = Event()
    event.add("uid", _clean(entry.uid))
    event.add("dtstamp", entry.revised_at.astimezone(UTC))
    event.add("last-modified", entry.revised_at.astimezone(UTC))
    event.add("dtstart", entry.begins_at.astimezone(UTC))
    event.add("dtend", entry.ends_at.astimezone(UTC))
    event.add("summary", _clean(entry.summary))
    event.add("location", _clean(entry.place))
    event.add("status", "CONFIRMED" if entry.is_sure else "TENTATIVE")
    return event


def _check(method: str, sequence: int, starts_at: datetime, ends_at: datetime, stamped_at: datetime) -> None:
    if method not in (PUBLISH, CANCEL):
        raise BadInput("method", method, "PUBLISH or CANCEL")
    least = 1 if method == CANCEL else 0
    if sequence < least:
        raise BadInput("sequence", sequence, f"{least} or more for {method}")
    for where, at in (("starts_at", starts_at), ("ends_at", ends_at), ("stamped_at", stamped_at)):
        if at.tzinfo is None:
            raise BadInput(where, at, "a time with its zone")
    if ends_at <= starts_at:
        raise BadInput("ends_at", ends_at, f"a time after {starts_at}")


def _organizer(name: str, mail: str) -> vCalAddress:
    if "@" not in mail or any(character.isspace() for character in mail):
        raise BadInput("organizer_mail", mail, "a mail address")
    organizer = vCalAddress(f"mailto:{_clean(mail)}")
    organizer.params["CN"] = " ".join(_clean(name).replace('"', "'").split())
    return organizer


def _clean(text: str) -> str:
    """Without the control characters that RFC 5545 cannot represent, and with every line break as one character."""
    lines = text.replace("\r\n", "\n").replace("\r", "\n")
    return "".join(character for character in lines if character in "\n\t" or category(character) != "Cc")
