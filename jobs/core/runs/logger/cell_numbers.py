"""Numbers as loggers write them: decimal commas, thousands, times of day. Columns of them are float64 arrays."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Numbers = NDArray[np.float64]  # (n,) float64, NaN where no number stands

COMMA, POINT = ",", "."
LARGEST = 1e13  # milliseconds since 1970 are below it; nothing that a logger measures is above
_THOUSANDS = {  # by the decimal sign: whole groups of three before it
    COMMA: re.compile(r"[+-]?\d{1,3}(\.\d{3})+(,\d*)?"),
    POINT: re.compile(r"[+-]?\d{1,3}(,\d{3})+(\.\d*)?"),
}
_CLOCK = re.compile(r"(?:.*[T ])?(?:(\d{1,2}):)?(\d{1,2}):(\d{1,2}(?:\.\d+)?)Z?")


def decimal_sign(cells: Sequence[str]) -> str:
    """A comma if cells have one and it cannot be that of thousands in all of them, else a point.

    >>> decimal_sign(["12,5", "8000"]), decimal_sign(["1,250.5"]), decimal_sign(["1.250,5"]), decimal_sign(["12.5"])
    (',', '.', ',', '.')
    """
    with_comma = [cell for cell in cells if COMMA in cell]
    if not with_comma:
        return POINT
    if all(_THOUSANDS[POINT].fullmatch(cell.strip()) for cell in with_comma) and any(POINT in cell for cell in cells):
        return POINT
    return COMMA


def numbers_of(cells: Sequence[str], sign: str) -> Numbers:
    """sign: the decimal sign of the file."""
    are_plain = sign == POINT or not any(POINT in cell for cell in cells)
    read = _at_once([cell.replace(COMMA, POINT) for cell in cells] if sign == COMMA else cells) if are_plain else None
    if read is None:
        read = np.array([number_of(cell, sign) for cell in cells], dtype=np.float64)
    return np.where(np.abs(read) <= LARGEST, read, np.nan)


def _at_once(cells: Sequence[str]) -> Numbers | None:
    """None if one of them is empty, a word or a time of day: then each has to be read by itself."""
    try:
        return np.array(cells, dtype=np.float64)
    except ValueError:
        return None


def number_of(cell: str, sign: str) -> float:
    """One cell. A time of day is in seconds. NaN for what is no number.

    >>> number_of(" 1.234,5 ", ","), number_of("00:01:02.5", "."), number_of("off", ".")
    (1234.5, 62.5, nan)
    """
    text = cell.strip()
    if _THOUSANDS[sign].fullmatch(text):
        text = text.replace(POINT if sign == COMMA else COMMA, "")
    if sign == COMMA:
        text = text.replace(COMMA, POINT)
    try:
        value = float(text)
    except ValueError:
        return _clock_s(text)
    return value if abs(value) <= LARGEST else math.nan


def _clock_s(text: str) -> float:
    """Hours, minutes and seconds, or minutes and seconds."""
    found = _CLOCK.fullmatch(text)
    if not found:
        return math.nan
    hours, minutes, seconds = found.groups()
    return int(hours or 0) * 3600 + int(minutes) * 60 + float(seconds)
