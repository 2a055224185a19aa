"""Personal links and secret addresses never reach a log: their token is masked before a line is written."""

import logging
import re

_IN_AN_ADDRESS = re.compile(r"(?i)(/|%2F)(sheet|visit|feed|wall)(/|%2F)[^/%\s\"']+")
# A token as signed by garage/reads/links.py and secret_links.py, anywhere in the line.
_ALONE = re.compile(r"\b\d+-\d+\.[\w-]{43}")


def without_tokens(text: str) -> str:
    return _ALONE.sub("…", _IN_AN_ADDRESS.sub(r"\1\2\3…", text))


class HideTokens(logging.Filter):
    def filter(self, record: logging.LogRecord) -> bool:
        record.msg, record.args = without_tokens(record.getMessage()), None
        if record.exc_info and not record.exc_text:
            record.exc_text = without_tokens(logging.Formatter().formatException(record.exc_info))
        return True
