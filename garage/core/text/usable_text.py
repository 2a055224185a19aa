"""Text that both databases can keep."""

from __future__ import annotations


def is_usable(text: str) -> bool:
    """Whether it holds neither NUL, which PostgreSQL keeps in no text, nor half of a character, which is no UTF-8.

    >>> is_usable("a cap, 5 kΩ"), is_usable("a\\0b"), is_usable("\\ud83d")
    (True, False, False)
    """
    try:
        return b"\0" not in text.encode()
    except UnicodeEncodeError:
        return False
