"""A logger's file as named columns of numbers, whatever wrote it.

Above the readings there may be any number of lines: what the logger says of itself, column names over several lines, a
line of units. The readings begin with the first line that has as many cells as most lines of the file and numbers in
half of them.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import islice

import numpy as np

from garage.core.errors import BadInput, Unquoted
from jobs.core.runs.logger.cell_numbers import Numbers, decimal_sign, number_of, numbers_of
from jobs.core.runs.logger.column_names import ColumnName, column_names
from jobs.core.runs.logger.file_text import LOOKED_AT, rows_of, separator_of, text_of

MOST_COLUMNS = 60  # more than a person looks through; a logger with more can export fewer
MOST_HEAD_LINES = 200
CHUNK_LINES = 5_000  # read at a time: the text cells of a whole file would take some hundred megabytes
SHOWN_ROWS = 6
FEWEST_ROWS = 10  # readings; fewer draw no curve


@dataclass(frozen=True)
class LoggerHead:
    """What is seen of a file before anybody says what its columns are.

    first_line: of the readings, counted from 1. shown: the first rows, as text. decimal: its sign.
    """

    columns: tuple[ColumnName, ...]
    shown: tuple[tuple[str, ...], ...]
    first_line: int
    separator: str
    decimal: str


@dataclass(frozen=True)
class LoggerTable:
    """columns: by the number of the column, counted from 0; (n,) float64 each, NaN where no number stands.

    lines: (n,) int64, the line of the file of each reading, counted from 1.
    """

    columns: dict[int, Numbers]
    lines: np.ndarray[tuple[int], np.dtype[np.int64]]


def read_head(raw: bytes) -> LoggerHead:
    """Raises BadInput for a file that is no text or has no readings.

    >>> head = read_head(b"Time;Revs\\ns;1/min\\n" + b"0,1;5000\\n" * 12)
    >>> [(column.words, column.unit) for column in head.columns], head.first_line, head.decimal
    ([('Time', 's'), ('Revs', '1/min')], 3, ',')
    """
    return _head_of(text_of(raw).split("\n"))


def read_columns(raw: bytes, wanted: Sequence[int]) -> LoggerTable:
    """The numbers of these columns. A line without a number in any of them is left out. Raises BadInput as above."""
    lines = text_of(raw).split("\n")
    head = _head_of(lines)
    parts: list[list[Numbers]] = [[] for _ in wanted]
    for start in range(head.first_line - 1, len(lines), CHUNK_LINES):
        rows = list(rows_of(lines[start : start + CHUNK_LINES], head.separator))
        for part, column in zip(parts, wanted, strict=True):
            part.append(numbers_of([row[column] if column < len(row) else "" for row in rows], head.decimal))
    read = [np.concatenate(part) for part in parts]
    is_there = ~np.any([np.isnan(column) for column in read], axis=0)
    if np.count_nonzero(is_there) < FEWEST_ROWS:
        found = f"with numbers in {np.count_nonzero(is_there)} lines of these columns"
        raise BadInput("The file", Unquoted(found), f"{FEWEST_ROWS} lines or more")
    numbered = head.first_line + np.flatnonzero(is_there)
    return LoggerTable({index: column[is_there] for index, column in zip(wanted, read, strict=True)}, numbered)


def _head_of(lines: Sequence[str]) -> LoggerHead:
    separator = separator_of(lines)
    width = _width(lines, separator)
    sample = [row for row in rows_of(_middle(lines), separator) if len(row) == width]
    decimal = decimal_sign([cell for row in sample for cell in row])
    above: list[list[str]] = []
    for number, row in enumerate(rows_of(lines[:MOST_HEAD_LINES], separator), start=1):
        if len(row) == width and _is_reading(row, decimal):
            shown = islice(rows_of(lines[number - 1 : number + 3 * SHOWN_ROWS], separator), 3 * SHOWN_ROWS)
            first = [tuple(cell.strip() for cell in row) for row in shown if len(row) == width]
            return LoggerHead(column_names(above, width), tuple(first[:SHOWN_ROWS]), number, separator, decimal)
        above.append(row)
    raise BadInput("The file", Unquoted("without numbers"), "a logger’s file with a line of numbers for each reading")


def _middle(lines: Sequence[str]) -> Sequence[str]:
    start = max(0, (len(lines) - LOOKED_AT) // 2)
    return lines[start : start + LOOKED_AT]


def _width(lines: Sequence[str], separator: str) -> int:
    counts = Counter(len(row) for row in rows_of(_middle(lines), separator) if row)
    width = counts.most_common(1)[0][0] if counts else 0
    if width < 2:
        raise BadInput("The file", Unquoted("without columns"), "two columns or more, such as time and roller speed")
    if width > MOST_COLUMNS:
        raise BadInput("The file", Unquoted(f"{width} columns wide"), f"up to {MOST_COLUMNS}: export fewer channels")
    return width


def _is_reading(row: Sequence[str], decimal: str) -> bool:
    filled = [cell for cell in row if cell.strip()]
    numbers = sum(not np.isnan(number_of(cell, decimal)) for cell in filled)
    return bool(filled) and 2 * numbers >= len(filled) and numbers >= 2
