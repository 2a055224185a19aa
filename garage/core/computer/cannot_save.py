"""Why nothing can be saved just now, from what the system or a database says. It passes by itself: nobody did wrong."""

from __future__ import annotations

import errno
from enum import Enum


class CannotSave(Enum):
    """LOCKED: another program has the database. AWAY: it cannot be reached or read."""

    LOCKED, FULL, READ_ONLY, AWAY = "locked", "full", "read-only", "away"


# As SQLite's error texts have them (sqlite3_errstr) and PostgreSQL's conditions (appendix A of its manual).
BY_WORDS = {
    "is locked": CannotSave.LOCKED,
    "disk is full": CannotSave.FULL,
    "disk i/o error": CannotSave.FULL,
    "readonly database": CannotSave.READ_ONLY,
    "unable to open database file": CannotSave.READ_ONLY,
    "connection refused": CannotSave.AWAY,
    "could not connect": CannotSave.AWAY,
    "connection failed": CannotSave.AWAY,
    "server closed the connection": CannotSave.AWAY,
    "terminating connection": CannotSave.AWAY,
}
BY_STATE = {
    "55P03": CannotSave.LOCKED,  # lock_not_available
    "53100": CannotSave.FULL,  # disk_full
    "25006": CannotSave.READ_ONLY,  # read_only_sql_transaction
    "53300": CannotSave.AWAY,  # too_many_connections
    "57P01": CannotSave.AWAY,  # admin_shutdown
    "57P03": CannotSave.AWAY,  # cannot_connect_now
}
BY_NUMBER = {
    errno.ENOSPC: CannotSave.FULL,
    errno.EDQUOT: CannotSave.FULL,
    errno.EROFS: CannotSave.READ_ONLY,
}


def why_of_system(number: int | None) -> CannotSave | None:
    """number: errno of an OSError. None if it is a fault of our own.

    >>> why_of_system(errno.ENOSPC), why_of_system(errno.ENOENT)
    (<CannotSave.FULL: 'full'>, None)
    """
    return BY_NUMBER.get(number) if number else None


def why_of_database(words: str, state: str = "") -> CannotSave | None:
    """state: PostgreSQL's five characters.

    >>> why_of_database("database is locked"), why_of_database("", "53100"), why_of_database("no such table: x")
    (<CannotSave.LOCKED: 'locked'>, <CannotSave.FULL: 'full'>, None)
    """
    if state in BY_STATE:
        return BY_STATE[state]
    return next((why for said, why in BY_WORDS.items() if said in words.casefold()), None)
