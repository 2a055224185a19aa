"""Words that whoever knows the garage tries first: they count for nothing in a password (OWASP ASVS 5.0, 6.1.2)."""

from __future__ import annotations

import re
from collections.abc import Iterator

OF_ANY_GARAGE = (
    *("tickover", "garage", "workshop", "rollers", "roller", "rolling", "road", "bench", "tuning", "engine"),
    *("boss", "front", "desk", "mechanic", "owner", "admin", "password", "welcome", "letmein"),
)
SHORTEST = 4  # letters of a word of its own name: "of" and "the" are no hint


def without_house_words(password: str, garage: str) -> str:
    """What is left of a password without those words, whatever their capitals. garage: its name.

    >>> without_house_words("QuarryLane-Boss!77", "Quarry Lane & Sons")
    '-!77'
    """
    left = password
    for word in sorted({*OF_ANY_GARAGE, *_words_of(garage)}, key=len, reverse=True):
        left = re.sub(re.escape(word), "", left, flags=re.IGNORECASE)
    return left


def _words_of(garage: str) -> Iterator[str]:
    return (word.casefold() for word in re.findall(r"\w+", garage) if len(word) >= SHORTEST)
