"""What the tour says: sentences with values read back from the pages. It stops at the first unexpected one."""

from __future__ import annotations

import re
from collections.abc import Callable


class Mismatch(Exception):
    """A value read back is not the one expected by the story."""


def squeezed(text: str) -> str:
    return " ".join(text.split())


def read_back(what: str, where: str, text: str, pattern: str, expected: object) -> str:
    """The single group of pattern in text, with white space collapsed. Raises Mismatch unless it is as expected.

    >>> read_back("total", "the invoice", "Total including VAT\\n£120.00", r"Total including VAT (£[\\d.]+)", "£120.00")
    '£120.00'
    >>> read_back("total", "the invoice", "Total including VAT £12.00", r"Total including VAT (£[\\d.]+)", "£120.00")
    Traceback (most recent call last):
    jobs.tour.telling.Mismatch: The total on the invoice is "£12.00", and must be "£120.00".
    """
    found = re.search(pattern, squeezed(text))
    if found is None:
        raise Mismatch(f'The {what} is not found on {where}; it must be "{expected}".')
    said = found.group(1)
    if said != str(expected):
        raise Mismatch(f'The {what} on {where} is "{said}", and must be "{expected}".')
    return said


def found(pattern: str, text: str, where: str) -> str:
    """The single group of pattern in text, white space unchanged. Raises Mismatch if there is no match."""
    match = re.search(pattern, text)
    if match is None:
        raise Mismatch(f"{pattern} is not found on {where}.")
    said: str = match.group(1)
    return said


class Telling:
    def __init__(self, say: Callable[[str], object]) -> None:
        self._say = say

    def chapter(self, words: str) -> None:
        self._say(f"\n{words}")

    def says(self, sentence: str, *values: str) -> None:
        """sentence: with a placeholder for each value, at least one. values: as read back."""
        if not values or sentence.count("{}") != len(values):
            raise ValueError(f"A sentence of the tour holds what was read back: {sentence}")
        self._say(f"  {sentence.format(*values)}")
