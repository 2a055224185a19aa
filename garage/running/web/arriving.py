"""A request as it arrives, piece by piece: when it is whole, when it is more than its page takes, when it is too slow.

No Django and no socket here. What is looked at decides how long a request is waited for. The web server reads it again
and refuses what is not HTTP.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from tempfile import SpooledTemporaryFile

HEAD_BYTES = 65_536  # more than the web server takes as one; common practice, no source
HEAD_S = 10.0  # s from the first moment until the head must be there; common practice, no source
PATIENCE_S = 30.0  # s more for what follows it, and on top of that a second for each
SLOWEST_BYTES_S = 10_000  # bytes that came: a telephone in a village with one bar; common practice, no source
LARGE_BYTES = 1_000_000  # above it a request is kept in a file, and not many of them at once
PIECE_BYTES = 65_536

MostBytes = Callable[[str, str], int]  # of a body, by method and target of its request


class Arriving:
    """is_whole: nothing more is waited for. is_cut: since no page needs the rest. goes_on: the client waits for a word.

    A body in chunks is put together and gets its length: Django reads none without.
    """

    def __init__(self, most_bytes: MostBytes, now_s: float) -> None:
        self.begun_s, self.received_bytes = now_s, 0
        self.is_whole = self.is_cut = self.goes_on = False
        self._most_bytes, self._head, self._read = most_bytes, bytearray(), NO_HEAD
        self._kept = SpooledTemporaryFile[bytes](max_size=LARGE_BYTES)
        self._body: _Stated | _Chunks = _Stated(0)
        self._allowed_bytes = 0

    def add(self, data: bytes) -> None:
        self.received_bytes += len(data)
        if self._read.is_there:
            self._add_to_body(data)
            return
        self._head += data
        end = self._head.find(b"\r\n\r\n")
        if end >= 0:
            body = bytes(self._head[end + 4 :])
            self._head = self._head[: end + 4]
            self._begin_body(body)
        elif len(self._head) > HEAD_BYTES:
            self.is_whole = self.is_cut = True

    def is_late(self, now_s: float) -> bool:
        if not self._read.is_there:
            return now_s > self.begun_s + HEAD_S
        return now_s > self.begun_s + HEAD_S + PATIENCE_S + self.received_bytes / SLOWEST_BYTES_S

    @property
    def is_large(self) -> bool:
        return not self.is_whole and max(self._read.length_bytes, self.received_bytes) > LARGE_BYTES

    def pieces(self) -> Iterator[bytes]:
        """What the web server is given."""
        yield bytes(self._head)
        self._kept.seek(0)
        while piece := self._kept.read(PIECE_BYTES):
            yield piece

    def forget(self) -> None:
        self._kept.close()

    def _begin_body(self, body: bytes) -> None:
        head = bytes(self._head)
        self._read = read = read_head(head)
        self._head = bytearray(_EXPECTS.sub(b"\r\n", head))  # it is answered here, and not once more
        if read.length_bytes or read.is_chunked:
            self._allowed_bytes = self._most_bytes(read.method, read.target)
        if read.is_odd or read.length_bytes > self._allowed_bytes:
            self.is_whole = self.is_cut = True  # the head alone says that it is refused
            return
        self._body = _Chunks() if read.is_chunked else _Stated(read.length_bytes)
        self._add_to_body(body)
        self.goes_on = read.expects_a_word and not self.is_whole

    def _add_to_body(self, data: bytes) -> None:
        self._kept.write(self._body.taken(data))
        self.is_cut = self._body.received_bytes > self._allowed_bytes and not self._body.has_ended
        self.is_whole = self._body.has_ended or self.is_cut
        if self.is_whole and isinstance(self._body, _Chunks) and not self._body.is_broken:
            length_bytes = self._body.received_bytes if self.is_cut else self._body.data_bytes
            stated = b"\r\nContent-Length: %d" % length_bytes
            self._head = bytearray(_CHUNKED.sub(stated, bytes(self._head), count=1))


class _Stated:
    """What comes behind it is kept too: the web server finds it there, and closes."""

    def __init__(self, length_bytes: int) -> None:
        self.received_bytes, self._length_bytes = 0, length_bytes
        self.has_ended = not length_bytes

    def taken(self, data: bytes) -> bytes:
        self.received_bytes += len(data)
        self.has_ended = self.received_bytes >= self._length_bytes
        return data


class _Chunks:
    """A body in chunks (RFC 9112, 7.1): each a line with its size, its bytes and an empty line; then one of size 0,
    and lines until an empty one. is_broken: it is no such thing. received_bytes: with the lines between, or a body of
    nothing else would have no end.
    """

    LONGEST_LINE = 1000  # bytes

    def __init__(self) -> None:
        self.received_bytes = self.data_bytes = 0
        self.has_ended = self.is_broken = False
        self._line, self._left_bytes, self._is_last = bytearray(), 0, False

    def taken(self, data: bytes) -> bytes:
        self.received_bytes += len(data)
        found = bytearray()
        while data and not self.has_ended:
            passed, data = data[: self._left_bytes], data[self._left_bytes :]
            found += passed
            self._left_bytes -= len(passed)
            if not self._left_bytes:
                data = self._line_of(data)
        self.data_bytes += len(found)
        return bytes(found)

    def _line_of(self, data: bytes) -> bytes:
        """What is left behind the line that a chunk begins with."""
        line, found, rest = data.partition(b"\n")
        self._line += line
        if found:
            self._end_line()
        elif len(self._line) > self.LONGEST_LINE:
            self.has_ended = self.is_broken = True
        return rest

    def _end_line(self) -> None:
        line, self._line = bytes(self._line).strip(), bytearray()
        if self._is_last:
            self.has_ended = not line
        elif line:  # and no more than the empty one behind the bytes of a chunk
            size = re.fullmatch(rb"([0-9a-fA-F]{1,15})[ \t]*(;.*)?", line)
            self._left_bytes = int(size[1], 16) if size else 0
            self._is_last = not self._left_bytes
            self.has_ended = self.is_broken = not size


@dataclass(frozen=True)
class Head:
    """is_odd: it says of the body's length what no browser says; the web server refuses it."""

    is_there: bool
    method: str
    target: str
    length_bytes: int
    is_chunked: bool
    is_odd: bool
    expects_a_word: bool


NO_HEAD = Head(
    is_there=False, method="", target="", length_bytes=0, is_chunked=False, is_odd=False, expects_a_word=False
)
_LENGTHS = re.compile(rb"(?i)\r\ncontent-length:[ \t]*([^\r\n]*)")
_CODINGS = re.compile(rb"(?i)\r\ntransfer-encoding:[^\r\n]*")
_CHUNKED = re.compile(rb"(?i)\r\ntransfer-encoding:[ \t]*chunked[ \t]*(?=\r\n)")
_EXPECTS = re.compile(rb"(?i)\r\nexpect:[ \t]*100-continue[ \t]*\r\n")


def read_head(head: bytes) -> Head:
    """What says how long to wait.

    >>> read_head(b"POST /book/?a=b HTTP/1.1\\r\\nContent-Length: 12\\r\\n\\r\\n").length_bytes
    12
    """
    method, _, rest = head.partition(b"\r\n")[0].decode("latin-1").partition(" ")
    lengths = [found.strip() for found in _LENGTHS.findall(head)]
    codings = len(_CODINGS.findall(head))
    are_lengths = all(re.fullmatch(rb"[0-9]{1,18}", each) for each in lengths)
    return Head(
        is_there=True,
        method=method,
        target=rest.partition(" ")[0],
        length_bytes=int(lengths[0]) if lengths and are_lengths else 0,
        is_chunked=codings == 1 and bool(_CHUNKED.search(head)),
        is_odd=not are_lengths or len(lengths) + codings > 1 or codings != len(_CHUNKED.findall(head)),
        expects_a_word=bool(_EXPECTS.search(head)),
    )
