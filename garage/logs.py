"""Personal links never reach a log: their token is replaced before a line is written."""

import logging
import re

_TOKEN = re.compile(r"/(sheet|visit)/[^/\s\"']+")


def without_tokens(text: str) -> str:
    return _TOKEN.sub(r"/\1/…", text)


class HideTokens(logging.Filter):
    def filter(self, record: logging.LogRecord) -> bool:
        record.msg, record.args = without_tokens(record.getMessage()), None
        if record.exc_info and not record.exc_text:
            record.exc_text = without_tokens(logging.Formatter().formatException(record.exc_info))
        return True
