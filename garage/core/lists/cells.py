"""Reads one cell of a list: text, a number, a year, one of several words. Each error names line and column."""

from __future__ import annotations

import re
from collections.abc import Mapping
from decimal import Decimal

from garage.core.errors import BadInput
from garage.core.lists.table import ListLine

NUMBER = re.compile(r"[+-]?[0-9]+([.,][0-9]+)?")
FIRST_YEAR, LAST_YEAR = 1900, 2100  # of anything with an engine that comes to a garage
MAIL = re.compile(r"[!-~]+@[a-z0-9-]+(\.[a-z0-9-]+)+", re.IGNORECASE)  # seen roughly: what is refused later comes back
TELEPHONE = re.compile(r"\+?[0-9][0-9 ()/.-]*")
FEWEST_DIGITS = 6  # of a telephone number; the shortest local numbers in use


def text(line: ListLine, column: str, longest: int) -> str:
    """On one line. Empty where nothing stands."""
    found = " ".join(line.cells.get(column, "").split())
    if len(found) > longest:
        raise trouble(line, column, found, f"up to {longest} letters")
    return found


def needed(line: ListLine, column: str, longest: int) -> str:
    found = text(line, column, longest)
    if not found:
        raise trouble(line, column, None, f"up to {longest} letters")
    return found


def number(line: ListLine, column: str, places: int) -> Decimal | None:
    """With a decimal point or comma. None where nothing stands."""
    found = line.cells.get(column)
    if found is None:
        return None
    read = NUMBER.fullmatch(found)
    if not read or len(read[1] or ".") - 1 > places:
        with_places = (
            f" with at most {places} decimal place{'s' if places > 1 else ''}" if places else " without decimals"
        )
        raise trouble(line, column, found, f"a number{with_places}, or nothing")
    return Decimal(found.replace(",", "."))


def year(line: ListLine, column: str) -> int | None:
    found = line.cells.get(column)
    if found is None:
        return None
    if not (found.isascii() and found.isdecimal() and FIRST_YEAR <= int(found) <= LAST_YEAR):
        raise trouble(line, column, found, "a year in four digits, such as 1984, or nothing")
    return int(found)


def choice(line: ListLine, column: str, words: Mapping[str, str]) -> str:
    """words: each value, and how the pages call it; either may stand there. Empty where nothing stands."""
    found = line.cells.get(column, "")
    for value, said in words.items():
        if found.casefold() in {value.casefold(), said.casefold()}:
            return value
    if found:
        raise trouble(line, column, found, f"{' or '.join(words)}, or nothing")
    return ""


def email(line: ListLine, column: str) -> str:
    found = text(line, column, 254)
    if found and not MAIL.fullmatch(found):
        raise trouble(line, column, found, "an address such as name@example.org, or nothing")
    return found


def telephone(line: ListLine, column: str) -> str:
    found = text(line, column, 30)
    if found and not (TELEPHONE.fullmatch(found) and sum(map(str.isdigit, found)) >= FEWEST_DIGITS):
        raise trouble(line, column, found, "digits, spaces and a plus sign, such as 07700 900123, or nothing")
    return found


def trouble(line: ListLine, column: str, found: object, allowed: str) -> BadInput:
    """One sentence about one cell.

    >>> str(trouble(ListLine(7, {}), "stroke_mm", "x5", "a number"))
    "Line 7, stroke_mm is 'x5'; allowed is a number."
    """
    return BadInput(f"Line {line.number}, {column}", found, allowed)


def check_length(line: ListLine) -> None:
    """Raises BadInput for a line with more cells than columns: most often a separator inside a cell without quotes."""
    if line.too_many:
        allowed = "as many as there are column names, with quotes around a cell that holds the separator"
        raise BadInput(f"Line {line.number}, number of cells", "too many", allowed)
