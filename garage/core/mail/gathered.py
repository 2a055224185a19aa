"""Which mails wait a little, so that several changes of one visit become one mail."""

from __future__ import annotations

from datetime import timedelta

GATHERED = frozenset({"visit_moved", "visit_time_given"})  # each says the whole of what the one before it said
GATHERED_FOR = timedelta(minutes=3)  # long enough to change one's mind on the page; common practice, no source


def wait_of(what: str) -> timedelta:
    """How long a mail waits before it is due. Warnings, confirmations and what ends a visit never wait.

    >>> wait_of("visit_moved").seconds, wait_of("visit_booked").seconds
    (180, 0)
    """
    return GATHERED_FOR if what in GATHERED else timedelta(0)
