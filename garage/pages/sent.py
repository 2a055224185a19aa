"""The sent page: every message that went out or is waiting, with its state."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from garage.core.mail.mail_tries import MOST_TRIES
from garage.models.messages import Message
from garage.reads.messages import unsent, went_out

SHOWN = 200  # of those that went out


@dataclass(frozen=True)
class SentPage:
    """Each message with its state in words."""

    unsent: list[tuple[Message, str]]
    went_out: list[tuple[Message, str]]


def sent_page(*, now: datetime) -> SentPage:
    return SentPage(_with_words(unsent(), now), _with_words(went_out()[:SHOWN], now))


def state_words(message: Message, *, now: datetime) -> str:
    """Its state in words, shown beside its time."""
    if message.bounced_at:
        return "came back"
    if message.kept_here:
        return "kept here, no mail server is set"
    if message.sent_at:
        return "sent, perhaps twice" if message.perhaps_twice else "sent"
    if message.in_hand:
        return "being sent" if message.due_at > now else "cut off while it was being sent, goes again"
    if message.tries >= MOST_TRIES:
        return "not sent"
    return "tried, will be tried again" if message.trouble else "waiting"


def _with_words(rows: Iterable[Message], now: datetime) -> list[tuple[Message, str]]:
    return [(row, state_words(row, now=now)) for row in rows]
