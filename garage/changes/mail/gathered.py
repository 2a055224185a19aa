"""Mails that are still waiting when what they say is no longer so."""

from __future__ import annotations

from garage.core.mail.gathered import GATHERED
from garage.models.messages import Message
from garage.models.visits import Visit


def drop_what_told_of_its_time(visit: Visit) -> None:
    """Inside a change that takes the time away. One that a sender has claimed goes out; the next mail follows it."""
    Message.objects.filter(visit=visit, what__in=GATHERED, sent_at=None, tries=0).delete()
