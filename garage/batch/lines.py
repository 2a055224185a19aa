"""Lines of a stream of bytes as they come, whatever the bytes: numbered, blank ones left out, one too long not kept.

What lies there already comes together, and more is only waited for once that is dealt with: an answer never waits for
the next question, nor do many questions wait for each other.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import chain
from typing import BinaryIO

LINE_BYTES = 16 * 2**20  # longest line read, bytes; common sense, no source
PIECE_BYTES = 2**18  # read at once at most: some hundred lines
BYTE_ORDER_MARK = b"\xef\xbb\xbf"
BLANK = b" \t\r\n"  # what JSON calls white space

NumberedLine = tuple[int, bytes | None]  # its number, from 1, and its bytes; None for one too long to be read


def numbered_lines(stream: BinaryIO) -> Iterator[NumberedLine]:
    """Each line that is not blank."""
    return chain.from_iterable(lines_at_hand(stream))


def lines_at_hand(stream: BinaryIO) -> Iterator[list[NumberedLine]]:
    """The lines that are not blank, those together that came together; the next are only waited for once these are
    dealt with. Who deals with them may empty the list: a line can be large, and none need be held beside the next."""
    number, begun = 0, _Begun()
    while piece := stream.read1(PIECE_BYTES):  # type: ignore[attr-defined]  # BinaryIO does not tell of it
        *ended, rest = piece.split(b"\n")
        lines = [(number + place, begun.ended_by(end)) for place, end in enumerate(ended, 1)]
        number += len(ended)
        begun.add(rest)
        if lines := _not_blank(lines):
            yield lines
    if lines := _not_blank([(number + 1, begun.ended_by(b""))]):
        yield lines


class _Begun:
    """A line that has not come to its end yet; of one too long nothing is kept."""

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
    """Those that hold something, white space around them taken off."""
    bare = [(number, None if raw is None else _bare(raw, number)) for number, raw in lines]
    return [(number, raw) for number, raw in bare if raw is None or raw]


def _bare(raw: bytes, number: int) -> bytes:
    return (raw.removeprefix(BYTE_ORDER_MARK) if number == 1 else raw).strip(BLANK)
