"""Lines of a byte stream as they arrive: numbered, blank ones skipped, overlong ones dropped.

Lines that arrived together are returned together. More are read only once those are dealt with, so an answer never
waits for the next question, and many questions do not wait for one another.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import chain
from typing import BinaryIO

LINE_BYTES = 16 * 2**20  # longest line that is read, bytes; common sense, no source
PIECE_BYTES = 2**18  # most bytes read at once: some hundred lines
BYTE_ORDER_MARK = b"\xef\xbb\xbf"
BLANK = b" \t\r\n"  # what JSON calls white space

NumberedLine = tuple[int, bytes | None]  # its number, from 1, and its bytes; None if it is too long to be read


def numbered_lines(stream: BinaryIO) -> Iterator[NumberedLine]:
    """Each line that is not blank."""
    return chain.from_iterable(arrived_lines(stream))


def arrived_lines(stream: BinaryIO) -> Iterator[list[NumberedLine]]:
    """Lines that are not blank, grouped as they arrived. The next group is read once this one is dealt with.

    The caller may empty the list as it goes. A line can be large, so none need stay in memory beside the next.
    """
    number, begun = 0, _Begun()
    while piece := stream.read1(PIECE_BYTES):  # type: ignore[attr-defined]  # BinaryIO does not declare it
        *ended, rest = piece.split(b"\n")
        lines = [(number + place, begun.ended_by(end)) for place, end in enumerate(ended, 1)]
        number += len(ended)
        begun.add(rest)
        if lines := _not_blank(lines):
            yield lines
    if lines := _not_blank([(number + 1, begun.ended_by(b""))]):
        yield lines


class _Begun:
    """A line whose end has not arrived. An overlong one is not kept."""

    def __init__(self) -> None:
        self._pieces: list[bytes] = []
        self._bytes = 0

    def add(self, piece: bytes) -> None:
        self._bytes += len(piece)
        self._pieces = [*self._pieces, piece] if self._bytes <= LINE_BYTES else []

    def ended_by(self, piece: bytes) -> bytes | None:
        self.add(piece)
        line = b"".join(self._pieces) if self._bytes <= LINE_BYTES else None
        self._pieces, self._bytes = [], 0
        return line


def _not_blank(lines: list[NumberedLine]) -> list[NumberedLine]:
    """The lines that hold something, stripped of white space."""
    bare = [(number, None if raw is None else _bare(raw, number)) for number, raw in lines]
    return [(number, raw) for number, raw in bare if raw is None or raw]


def _bare(raw: bytes, number: int) -> bytes:
    return (raw.removeprefix(BYTE_ORDER_MARK) if number == 1 else raw).strip(BLANK)
