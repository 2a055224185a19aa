"""A clip's sound for a player: the range it asks for, in pieces, and never as anything but sound."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import PurePosixPath

from django.core.files.base import File
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase, StreamingHttpResponse

PIECE_BYTES = 64 * 1024
# RFC 9110, 14.1.2; several ranges at once are answered with all of it. No file has more bytes than 15 digits can say.
_RANGE = re.compile(r"bytes=([0-9]{0,15})-([0-9]{0,15})")
TYPES = {  # by the file's ending; a video is played for its sound
    "wav": "audio/wav",
    "mp3": "audio/mpeg",
    "flac": "audio/flac",
    "aac": "audio/aac",
    "caf": "audio/x-caf",
    "m4a": "audio/mp4",
    "mp4": "audio/mp4",
    "mov": "audio/mp4",
    "3gp": "audio/3gpp",
    "amr": "audio/amr",
    "webm": "audio/webm",
    "ogg": "audio/ogg",
    "oga": "audio/ogg",
    "opus": "audio/ogg",
}
UNKNOWN = "application/octet-stream"  # offered for keeping, never shown as a page


def sound_answer(request: HttpRequest, file: File[bytes]) -> HttpResponseBase:
    """The file, or the range of it that the player asks for. Some players only play what is served in ranges."""
    try:
        size = file.size
    except FileNotFoundError as gone:
        raise Http404 from gone
    part = _part(request.headers.get("Range", ""), size)
    begin, end = part or (0, size)
    if part and begin >= end:
        return HttpResponse(status=416, headers={"Content-Range": f"bytes */{size}"})
    headers = {"Accept-Ranges": "bytes", "Content-Length": str(end - begin)}
    headers["Cache-Control"] = "private, no-store"  # deleting a clip deletes it, from the browser too
    if part:
        headers["Content-Range"] = f"bytes {begin}-{end - 1}/{size}"
    pieces = [] if request.method == "HEAD" else _pieces(file, begin, end)
    kind = TYPES.get(PurePosixPath(file.name or "").suffix[1:].lower(), UNKNOWN)
    return StreamingHttpResponse(pieces, status=206 if part else 200, content_type=kind, headers=headers)


def _part(asked: str, size: int) -> tuple[int, int] | None:
    """First byte and the one past the last, of a file of that size; None for all of it."""
    found = _RANGE.fullmatch(asked.strip())
    if found is None or asked.strip() == "bytes=-":
        return None
    first, last = found.groups()
    if not first:  # the last so many
        return max(size - int(last), 0), size
    if last and int(last) < int(first):
        return None
    return int(first), min(int(last) + 1, size) if last else size


def _pieces(file: File[bytes], begin: int, end: int) -> Iterator[bytes]:
    with file.open("rb") as opened:
        opened.seek(begin)
        while begin < end:
            piece = opened.read(min(PIECE_BYTES, end - begin))
            if not piece:
                return
            begin += len(piece)
            yield piece
