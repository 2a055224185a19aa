"""What a frozen document says, as one value: whoever has the value can tell whether a word of it has changed."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from datetime import UTC, date, datetime
from decimal import Decimal


def fingerprint(content: Mapping[str, object]) -> str:
    """SHA-256, in hexadecimal, of JSON with its keys in order and no blanks, in UTF-8.

    >>> fingerprint({"gross": "1.00", "words": "jet"}) == fingerprint({"words": "jet", "gross": "1.00"})
    True
    """
    text = json.dumps(content, sort_keys=True, ensure_ascii=False, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()


def plain(value: object) -> object:
    """Amounts with two decimals, times in UTC: the same from memory and from either database.

    >>> plain(Decimal("1.5"))
    '1.50'
    """
    if isinstance(value, Decimal):
        return f"{value:.2f}"
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat(timespec="microseconds")
    return value.isoformat() if isinstance(value, date) else value
