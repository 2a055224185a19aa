"""The bytes of a logger's file as text, and what separates its cells."""

from __future__ import annotations

import codecs
import csv
from collections import Counter
from collections.abc import Iterator, Sequence

from garage.core.errors import BadInput, Unquoted

MOST_BYTES = 20_000_000  # bytes: 200,000 lines of a hundred characters
SEPARATORS = (";", "\t", "|", ",")  # the first of those that fit equally well
LOOKED_AT = 60  # lines from the middle, by which the separator is told
CSV_TEXT = "CSV text: open it where it was made and save or export it as CSV"
_DISGUISES = (  # how the file begins, and what it is
    (b"PK\x03\x04", "a spreadsheet or a ZIP file under another name"),
    (b"\xd0\xcf\x11\xe0", "an old spreadsheet under another name"),
    (b"%PDF", "a PDF"),
    (b"\x1f\x8b", "packed with gzip"),
    (b"<", "a web page or XML under another name"),
)


def check_size(size_bytes: int) -> None:
    """Raises BadInput for more than is read."""
    if size_bytes > MOST_BYTES:
        allowed = f"up to {MOST_BYTES / 1e6:.0f} MB: export the run alone, or fewer lines a second"
        raise BadInput("The file", Unquoted(f"{size_bytes / 1e6:.1f} MB"), allowed)


def text_of(raw: bytes) -> str:
    """UTF-8 with or without a byte order mark, UTF-16 with or without one, else Windows-1252 or Latin-1.

    Raises BadInput for what is no text: a spreadsheet in disguise is named as such.
    """
    check_size(len(raw))
    start = raw.removeprefix(codecs.BOM_UTF8).lstrip()[:8]
    if not start:
        raise BadInput("The file", Unquoted("empty"), "a logger’s file with a line for each reading")
    for beginning, what in _DISGUISES:
        if start.startswith(beginning):
            raise BadInput("The file", Unquoted(what), CSV_TEXT)
    for encoding in _encodings(raw):
        try:
            text = raw.decode(encoding)
        except UnicodeDecodeError:
            continue
        if "\0" not in text:
            return text.replace("\r\n", "\n").replace("\r", "\n")
    raise BadInput("The file", Unquoted("not text"), CSV_TEXT)


def _encodings(raw: bytes) -> Sequence[str]:
    if raw.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return ("utf-16",)
    start = raw[:400]
    if 3 * start.count(0) > len(start):  # every second byte of Latin letters in UTF-16 is 0
        return ("utf-16-be",) if start[0] == 0 else ("utf-16-le",)
    return ("utf-8-sig", "cp1252", "latin-1")


def separator_of(lines: Sequence[str]) -> str:
    """The one that cuts most of the lines in the middle of the file into the same number of cells, two or more.

    The comma is tried last, since it may be the decimal sign. Spaces if nothing else does.
    """
    middle = max(0, (len(lines) - LOOKED_AT) // 2)
    looked_at = [line for line in lines[middle : middle + LOOKED_AT] if line.strip()]
    for separator in SEPARATORS:
        counts = Counter(line.count(separator) for line in looked_at)
        cuts, times = counts.most_common(1)[0] if counts else (0, 0)
        if cuts and 10 * times >= 7 * len(looked_at):
            return separator
    return " "


def rows_of(lines: Sequence[str], separator: str) -> Iterator[list[str]]:
    """The cells of each line, quotes gone, spaces around them left. Raises BadInput for a quote that never ends."""
    if separator == " ":
        yield from (line.split() for line in lines)
        return
    try:
        yield from csv.reader(lines, delimiter=separator)
    except csv.Error as error:
        raise BadInput("The file", Unquoted(f"not to be read ({error})"), CSV_TEXT) from error
