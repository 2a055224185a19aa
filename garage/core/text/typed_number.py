"""The number of a row as a link or a button sends it. Anybody can write something else into an address."""

from __future__ import annotations

import re

_PLAIN = re.compile(r"[0-9]{1,9}")  # no number that is given out is longer, and both databases can look for these


def typed_number(text: str) -> int | None:
    """The whole number of at most nine plain digits. None for anything else: no other script's digits, no sign.

    >>> typed_number("41"), typed_number("٤١"), typed_number("4" * 4400)
    (41, None, None)
    """
    return int(text) if _PLAIN.fullmatch(text) else None
