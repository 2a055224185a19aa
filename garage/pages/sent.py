"""The sent page: every message that went out or is waiting, with its state."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from garage.core.mail.mail_tries import MOST_TRIES
from garage.models.messages import Message
from garage.reads.messages import unsent, went_out

SHOWN = 200  # of those that went out


@dataclass(frozen=True)
class SentPage:
    """Each message with its state in words."""

    unsent: list[tuple[Message, str]]
    went_out: list[tuple[Message, str]]


def sent_page() -> SentPage:
    return SentPage(_with_words(unsent()), _with_words(went_out()[:SHOWN]))


def state_words(message: Message) -> str:
    """Its state in words, shown beside its time."""
    if message.bounced_at:
        return "came back"
    if message.kept_here:
        return "kept here, no mail server is set"
    if message.sent_at:
        return "sent"
    if message.tries >= MOST_TRIES:
        return "not sent"
    return "tried, will be tried again" if message.trouble else "waiting"


def _with_words(rows: Iterable[Message]) -> list[tuple[Message, str]]:
    return [(row, state_words(row)) for row in rows]
