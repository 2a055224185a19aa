"""Pages are UTF-8, and so is what browsers send back. Anything else is refused."""

from __future__ import annotations

from email.message import Message
from typing import Any

ODD = "tickover.odd_charset"
OURS = ("utf-8", "utf8", "us-ascii")


def readable(environ: dict[str, Any]) -> dict[str, Any]:
    """For the web server, before Django makes a request of it: some of Python's encodings fail there, where no page
    answers. Such a request is marked, and UsableTextMiddleware refuses it.
    """
    charset = charset_of(environ.get("CONTENT_TYPE", ""))
    if charset in (None, *OURS):
        return environ
    return environ | {ODD: charset, "CONTENT_TYPE": ""}


def is_ours(environ: dict[str, Any]) -> bool:
    return ODD not in environ and charset_of(environ.get("CONTENT_TYPE", "")) in (None, *OURS)


def charset_of(content_type: str) -> str | None:
    """In small letters.

    >>> charset_of("multipart/form-data; boundary=b; charset=UTF-16"), charset_of("text/plain")
    ('utf-16', None)
    """
    message = Message()
    message["Content-Type"] = content_type.replace("\r", " ").replace("\n", " ")
    charset = message.get_param("charset")
    return str(charset).strip().lower() if charset else None
