"""What is sought with one search box: a number, a telephone number, a registration, or words."""

from __future__ import annotations

import re
from dataclasses import dataclass

MOST_WORDS = 8  # each word is a condition of the query; a person types two or three
FEWEST_TELEPHONE_DIGITS = 5  # fewer are found in half of all numbers
FEWEST_AFTER_PREFIX = 4  # of a number begun with its 0 or its country, such as 07700: a place's or a network's code
FEWEST_REGISTRATION = 2  # letters and digits
_NUMBER = re.compile(r"(?:(?:visit|card|invoice|no|number|nr)\b\.?|#)?\s*#?\s*([0-9]{1,9})", re.IGNORECASE | re.ASCII)
_TELEPHONE = re.compile(r"[+(]?[0-9][0-9 ()./-]*", re.ASCII)


@dataclass(frozen=True, slots=True)
class Sought:
    """number: of a visit (its card has the same) or an invoice, None if none is meant. telephone: digits without
    country and trunk prefix, empty if it is none. registration: without spaces and hyphens, empty if it is none.
    words: each has to be found.
    """

    number: int | None
    telephone: str
    registration: str
    words: tuple[str, ...]


def sought(typed: str, calling_code: str) -> Sought:
    """calling_code: the country's, as of numbers that begin with a single 0.

    >>> sought("+44 (0)1632 960123", "44").telephone, sought("01632 960123", "44").telephone
    ('1632960123', '1632960123')
    >>> sought("Invoice 12", "44").number, sought("ab12 cde", "44").registration
    (12, 'ab12cde')
    """
    text = " ".join(typed.split())
    number = _NUMBER.fullmatch(text)
    squeezed = re.sub(r"[\s-]", "", text)
    is_one_word = squeezed.isalnum() and any(sign.isdigit() for sign in squeezed)
    return Sought(
        number=int(number[1]) if number else None,
        telephone=_bare_number(text, calling_code),
        registration=squeezed if is_one_word and len(squeezed) >= FEWEST_REGISTRATION else "",
        words=tuple(text.split()[:MOST_WORDS]),
    )


def _bare_number(text: str, calling_code: str) -> str:
    if not _TELEPHONE.fullmatch(text):
        return ""
    typed = digits = re.sub(r"\D", "", text.replace("(0)", ""))
    if text.startswith("+") or digits.startswith("00"):
        digits = digits.removeprefix("00").removeprefix(calling_code)
    digits = digits.removeprefix("0")
    fewest = FEWEST_TELEPHONE_DIGITS if digits == typed else FEWEST_AFTER_PREFIX
    return digits if len(digits) >= fewest else ""
