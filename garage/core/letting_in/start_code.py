"""The one-time code that an empty garage prints when it starts: made, read as typed, and how long it counts."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime, timedelta

LETTERS = "23456789ABCDEFGHJKMNPQRSTVWXYZ"  # no 0 or O, 1, I or L, and no U: read off one screen and typed at another
GROUPS, IN_GROUP = 3, 4  # 30 letters, 12 of them: 58 bits, far beyond what the limit on tries leaves to guess
COUNTS_FOR = timedelta(days=1)  # common practice, no source; a restart makes a new one


def new_code(choose: Callable[[Sequence[str]], str]) -> str:
    """choose: picks one of the letters, unpredictably.

    >>> new_code(lambda letters: letters[-1])
    'ZZZZ-ZZZZ-ZZZZ'
    """
    return "-".join("".join(choose(LETTERS) for _ in range(IN_GROUP)) for _ in range(GROUPS))


def as_typed(code: str) -> str:
    """The letters alone, so that spaces, dashes and small letters do not matter.

    >>> as_typed(" abcd efgh-jkmn ")
    'ABCDEFGHJKMN'
    """
    return "".join(letter for letter in code.upper() if letter.isalnum())


def counts(made_at: datetime, now: datetime) -> bool:
    """Whether a code made then is still taken."""
    return now - made_at < COUNTS_FOR
