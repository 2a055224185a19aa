"""Personal links and secret addresses never reach a log: their token is masked before a line is written."""

import logging
import re
from urllib.parse import unquote

_IN_AN_ADDRESS = re.compile(r"(?i)(/|%2F)(sheet|visit|feed|wall)(/|%2F)[^/%\s\"']+")
# A token as signed by garage/reads/links.py and secret_links.py, anywhere in the line.
_ALONE = re.compile(r"(?<!\d)\d+-\d+\.[\w-]{43}")
# What other encodings leave between letters: the zero bytes of UTF-16 and UTF-32, as they are or written out.
_BETWEEN = re.compile(r"\x00|\\x00|\\u0000|\\0")
MOST_LAYERS = 3  # of percent signs: an address within an address within an address


def without_tokens(text: str) -> str:
    """The line; one that hid a token behind an encoding is given as it reads without it."""
    masked, plain = _masked(text), _plain(text)
    return masked if _masked(plain) == plain or _plain(masked) == _masked(plain) else _masked(plain)


def _masked(text: str) -> str:
    return _ALONE.sub("…", _IN_AN_ADDRESS.sub(r"\1\2\3…", text))


def _plain(text: str) -> str:
    for _ in range(MOST_LAYERS):
        text = _BETWEEN.sub("", unquote(text))
    return text


class HideTokens(logging.Filter):
    def filter(self, record: logging.LogRecord) -> bool:
        record.msg, record.args = without_tokens(record.getMessage()), None
        if record.exc_info and not record.exc_text:
            record.exc_text = without_tokens(logging.Formatter().formatException(record.exc_info))
        return True
