"""Reads a list from a spreadsheet: the bytes of a CSV file as lines of named cells.

Semicolon, comma or tab, whichever the line of column names has most of; quoted cells; any end of line; UTF-8 with or
without a byte order mark, UTF-16 with one, else Windows-1252, as spreadsheets on Windows save. What a cell says is
plain text: nothing is ever computed. Format: RFC 4180, read by the standard library's csv.
"""

from __future__ import annotations

import codecs
import csv
import io
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from garage.core.errors import BadInput, Unquoted

MOST_BYTES = 4_000_000  # bytes: 20,000 lines of 200 letters
MOST_LINES = 20_000  # lines with something in them; ten times what a garage of this size has
SEPARATORS = (";", ",", "\t")


@dataclass(frozen=True)
class Column:
    """name: as the first line of the file gives it. help: what a cell may hold. others: other words for the name."""

    name: str
    help: str
    others: tuple[str, ...] = ()
    is_needed: bool = False


@dataclass(frozen=True)
class ListLine:
    """number: as a spreadsheet counts, the column names being on line 1. cells: text by column, spaces around it gone;
    an empty cell is not there. too_many: it has more cells than there are columns.
    """

    number: int
    cells: Mapping[str, str]
    too_many: bool = False


@dataclass(frozen=True)
class ListTable:
    """unused: columns of the file that nobody asked for."""

    lines: tuple[ListLine, ...]
    unused: tuple[str, ...] = ()


def read_table(raw: bytes, columns: Sequence[Column]) -> ListTable:
    """Names are compared without capitals, spaces and underscores. Raises BadInput for a file that is no such list.

    >>> table = read_table(b"Make;Stroke mm\\r\\nCorrick;54,5\\r\\n", [Column("make", ""), Column("stroke_mm", "")])
    >>> table.lines[0].number, dict(table.lines[0].cells)
    (2, {'make': 'Corrick', 'stroke_mm': '54,5'})
    """
    check_size(len(raw))
    rows = _rows(_text(raw))
    _, head = next(rows, (1, []))
    names, unused = _names(head, columns)
    needed = [column.name for column in columns if column.is_needed]
    for name in needed:
        if name not in names:
            raise BadInput(f"Line 1: the column {name}", None, f"a first line of column names with {', '.join(needed)}")
    lines = [_line(number, row, names) for number, row in rows if any(cell.strip() for cell in row)]
    if not lines:
        raise BadInput("The file", Unquoted("empty below its column names"), "one line for each entry")
    if len(lines) > MOST_LINES:
        raise BadInput("The file", Unquoted(f"{len(lines):,} lines long"), f"up to {MOST_LINES:,}: cut it in two")
    return ListTable(tuple(lines), unused)


def check_size(size_bytes: int) -> None:
    """Raises BadInput for more than is read."""
    if size_bytes > MOST_BYTES:
        allowed = f"up to {MOST_BYTES / 1e6:.0f} MB: cut it in two"
        raise BadInput("The file", Unquoted(f"{size_bytes / 1e6:.1f} MB"), allowed)


def _text(raw: bytes) -> str:
    is_utf_16 = raw.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE))
    encodings = ["utf-16"] if is_utf_16 else ["utf-8-sig", "cp1252"]
    for encoding in encodings:
        try:
            text = raw.decode(encoding)
        except UnicodeDecodeError:
            continue
        if "\0" not in text:  # no text has one, and PostgreSQL keeps none
            return text
    raise BadInput("The file", Unquoted("not text"), "a CSV file as a spreadsheet saves it, in UTF-8")


def _rows(text: str) -> Iterator[tuple[int, list[str]]]:
    """Each row with the number of its first line."""
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    first = text.partition("\n")[0]
    separator = max(SEPARATORS, key=first.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    number = 1
    while True:
        try:
            row = next(reader, None)
        except csv.Error as error:
            allowed = 'cells in whole quotes, "" for a quote inside one'
            raise BadInput(f"Line {number}", Unquoted(f"not to be read ({error})"), allowed) from error
        if row is None:
            return
        yield number, row
        number = reader.line_num + 1


def _names(head: Sequence[str], columns: Sequence[Column]) -> tuple[list[str], tuple[str, ...]]:
    """For each column of the file the name asked for, or an empty one; and the words of those that nobody asked for."""
    meant = {_key(word): column.name for column in columns for word in (column.name, *column.others)}
    names = [meant.get(_key(cell), "") for cell in head]
    for name in names:
        if name and names.count(name) > 1:
            raise BadInput(f"Line 1: the column {name}", Unquoted("there twice"), "each column once")
    unused = tuple(cell.strip() for cell, name in zip(head, names, strict=True) if cell.strip() and not name)
    return names, unused


def _key(words: str) -> str:
    return "".join(letter for letter in words.casefold() if letter.isalnum())


def _line(number: int, row: Sequence[str], names: Sequence[str]) -> ListLine:
    cells = {name: cell.strip() for name, cell in zip(names, row, strict=False) if name and cell.strip()}
    return ListLine(number, cells, too_many=any(cell.strip() for cell in row[len(names) :]))
