"""What a line of the log looks like: when, how bad, which request, what; in words, or as one JSON object."""

from __future__ import annotations

import json
import logging
import secrets
from contextvars import ContextVar
from datetime import UTC, datetime
from typing import Any

request_id: ContextVar[str] = ContextVar("request_id", default="")  # of the request that is being answered here


def new_request_id() -> str:
    """Says nothing of who asks, and is never taken from outside: whoever reads the log relies on it."""
    return secrets.token_hex(6)


class WordLines(logging.Formatter):
    def format(self, record: logging.LogRecord) -> str:
        of = f" [{request_id.get()}]" if request_id.get() else ""
        return f"{_when(record)} {record.levelname}{of} {super().format(record)}"


class JsonLines(logging.Formatter):
    def format(self, record: logging.LogRecord) -> str:
        line: dict[str, Any] = {"at": _when(record), "level": record.levelname, "logger": record.name}
        if of := request_id.get():
            line["request"] = of
        line["message"] = record.getMessage()
        if record.exc_info and not record.exc_text:
            record.exc_text = self.formatException(record.exc_info)
        if record.exc_text:
            line["error"] = record.exc_text
        return json.dumps(line, ensure_ascii=False)


def _when(record: logging.LogRecord) -> str:
    return datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds")
