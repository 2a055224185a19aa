"""A clip's sound for a player: what is asked for of it, piece by piece, and never as anything but sound or video."""

from __future__ import annotations

import mimetypes
import re
from collections.abc import Iterator

from django.core.files.base import File
from django.http import HttpRequest, HttpResponse, HttpResponseBase, StreamingHttpResponse

PIECE_BYTES = 64 * 1024
# RFC 9110, 14.1.2: from, to, both included, either may be left out. Several ranges at once are answered as none.
_RANGE = re.compile(r"bytes=(\d*)-(\d*)")


def sound_answer(request: HttpRequest, file: File) -> HttpResponseBase:
    """The file, or the range of it that the player asks for: some players only play what can be asked for in ranges.

    The type is never one that a browser would show as a page, whatever somebody has sent under whatever name.
    """
    size, asked = file.size, _RANGE.fullmatch(request.headers.get("Range", ""))
    begin, end = _limits(asked.groups(), size) if asked else (0, size)
    if begin >= end:
        return HttpResponse(status=416, headers={"Content-Range": f"bytes */{size}"})
    headers = {"Accept-Ranges": "bytes", "Content-Length": str(end - begin)}
    if asked:
        headers["Content-Range"] = f"bytes {begin}-{end - 1}/{size}"
    pieces = [] if request.method == "HEAD" else _pieces(file, begin, end)
    return StreamingHttpResponse(pieces, status=206 if asked else 200, content_type=_type(file), headers=headers)


def _limits(asked: tuple[str, ...], size: int) -> tuple[int, int]:
    """First byte, and the one after the last; empty where nothing of that is there."""
    first, last = asked
    if first:
        return int(first), min(int(last) + 1, size) if last else size
    return (max(size - int(last), 0), size) if last else (size, size)


def _pieces(file: File, begin: int, end: int) -> Iterator[bytes]:
    with file.open("rb") as opened:
        opened.seek(begin)
        while begin < end:
            piece = opened.read(min(PIECE_BYTES, end - begin))
            if not piece:
                return
            begin += len(piece)
            yield piece


def _type(file: File) -> str:
    guessed, _ = mimetypes.guess_type(file.name or "")
    return guessed if guessed and guessed.startswith(("audio/", "video/")) else "application/octet-stream"
