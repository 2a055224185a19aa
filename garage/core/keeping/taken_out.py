"""Taking what names somebody out of texts that stay."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Any

from garage.core.duplicates import digits_of

GONE = "…"
LEAST_LETTERS = 3  # a shorter part of a name stands in texts as a word


def naming(*, words: Iterable[str], numbers: Iterable[str], plates: Iterable[str]) -> re.Pattern[str]:
    """What finds them however they are spaced or written large. words: names, email addresses, lines of an address.

    >>> harker = naming(words=["Jo Harker"], numbers=["07700 900123"], plates=["AB12 CDE"])
    >>> harker.sub(GONE, "JO  HARKER rang from +44 7700-900123 about ab12cde, not Joharker")
    '… rang from … about …, not Joharker'
    """
    found = [r"\s+".join(map(re.escape, word.split())) for word in words if word.strip()]
    found += [_number(digits) for number in numbers if (digits := digits_of(number))]
    found += [r"[\s-]?".join(map(re.escape, "".join(plate.split()))) for plate in plates if plate.strip()]
    longest_first = sorted(found, key=len, reverse=True)
    return re.compile(rf"(?<!\w)(?:{'|'.join(longest_first) or '(?!)'})(?!\w)", re.IGNORECASE)


def parts_of(name: str) -> list[str]:
    """Those that stand for it alone.

    >>> parts_of("Jo van Harker")
    ['van', 'Harker']
    """
    return [part for part in name.split() if len(part) >= LEAST_LETTERS]


def taken_out(value: Any, named: re.Pattern[str]) -> Any:
    """A text, or a list or mapping with texts in it, without what names; anything else as it is.

    >>> taken_out({"to": ["Jo Harker", 7]}, naming(words=["jo harker"], numbers=[], plates=[]))
    {'to': ['…', 7]}
    """
    if isinstance(value, str):
        return named.sub(GONE, value)
    if isinstance(value, list):
        return [taken_out(each, named) for each in value]
    if isinstance(value, dict):
        return {key: taken_out(each, named) for key, each in value.items()}
    return value


def _number(digits: str) -> str:
    """digits: the last ones, which are the same with and without a country's code."""
    spaced = r"[\s\-()/.]*".join(digits)
    return rf"(?:[+\d][\d\s\-()/.]{{0,7}})?{spaced}"
