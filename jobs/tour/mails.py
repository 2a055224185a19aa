"""Reads a mail of the tour: its words, its attachment, the start time in its calendar file."""

from __future__ import annotations

from datetime import datetime
from email.message import EmailMessage

from icalendar import Calendar

from jobs.tour.telling import Mismatch


def words_of(mail: EmailMessage) -> str:
    body = mail.get_body(("plain",))
    if body is None:
        raise Mismatch(f'The email "{mail["Subject"]}" has no plain text.')
    words: str = body.get_content()
    return words


def enclosed(mail: EmailMessage, content_type: str) -> bytes:
    for part in mail.iter_attachments():
        content = part.get_payload(decode=True)
        if part.get_content_type() == content_type and isinstance(content, bytes):
            return content
    raise Mismatch(f'The email "{mail["Subject"]}" encloses no {content_type}.')


def begin_in(diary: bytes) -> datetime:
    """diary: a calendar file with one event."""
    begin = Calendar.from_ical(diary).events[0].start
    if not isinstance(begin, datetime):
        raise Mismatch(f"The diary file names a day, {begin}, and no time.")
    return begin
