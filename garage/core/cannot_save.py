"""Why nothing can be saved just now, from what the system or a database says. It passes by itself: nobody did wrong."""

from __future__ import annotations

import errno
from enum import Enum


class Why(Enum):
    """LOCKED: another program has the database. AWAY: it cannot be reached or read."""

    LOCKED, FULL, READ_ONLY, AWAY = "locked", "full", "read-only", "away"


# As SQLite's error texts have them (sqlite3_errstr) and PostgreSQL's conditions (appendix A of its manual).
BY_WORDS = {
    "is locked": Why.LOCKED,
    "disk is full": Why.FULL,
    "disk i/o error": Why.FULL,
    "readonly database": Why.READ_ONLY,
    "unable to open database file": Why.READ_ONLY,
    "connection refused": Why.AWAY,
    "could not connect": Why.AWAY,
    "connection failed": Why.AWAY,
    "server closed the connection": Why.AWAY,
    "terminating connection": Why.AWAY,
}
BY_STATE = {
    "55P03": Why.LOCKED,  # lock_not_available
    "53100": Why.FULL,  # disk_full
    "25006": Why.READ_ONLY,  # read_only_sql_transaction
    "53300": Why.AWAY,  # too_many_connections
    "57P01": Why.AWAY,  # admin_shutdown
    "57P03": Why.AWAY,  # cannot_connect_now
}
BY_NUMBER = {
    errno.ENOSPC: Why.FULL,
    errno.EDQUOT: Why.FULL,
    errno.EROFS: Why.READ_ONLY,
}


def why_of_system(number: int | None) -> Why | None:
    """number: errno of an OSError. None if it is a fault of our own.

    >>> why_of_system(errno.ENOSPC), why_of_system(errno.ENOENT)
    (<Why.FULL: 'full'>, None)
    """
    return BY_NUMBER.get(number) if number else None


def why_of_database(words: str, state: str = "") -> Why | None:
    """state: PostgreSQL's five characters.

    >>> why_of_database("database is locked"), why_of_database("", "53100"), why_of_database("no such table: x")
    (<Why.LOCKED: 'locked'>, <Why.FULL: 'full'>, None)
    """
    if state in BY_STATE:
        return BY_STATE[state]
    return next((why for said, why in BY_WORDS.items() if said in words.casefold()), None)
