"""German as no German reads it: each text of the catalogue in one strange letter, so that plain ones are untranslated.

What is data stays plain in any language: names, makes, what people typed, prices. It is taken out before the look.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from gettext import NullTranslations
from html.parser import HTMLParser
from string import ascii_lowercase, ascii_uppercase

from django.apps import apps
from django.db.models import CharField, JSONField, TextField
from django.utils.translation import trans_real

LANGUAGE = "de"
OUR_APPS = ("garage", "diagnostics", "hearing", "jobs")
WRITTEN_BY_US = {"message", "trailrow"}  # models whose texts are sentences of ours, not data
KEPT = re.compile(r"(%(?:\(\w+\))?[sd%]|\{\w*\}|<[^>]+>|&\w+;)")
LETTERS = str.maketrans(dict.fromkeys(ascii_lowercase, "ø") | dict.fromkeys(ascii_uppercase, "Ø"))
READ_OUT = ("alt", "title", "aria-label", "placeholder")
UNITS = {"min", "rpm", "mm", "VAT", "PDF", "Hz", "kHz", "kB", "MB", "km", "hPa", "Nm", "PS", "kW", "kΩ", "kg"}
NAMES = {"SAE", "ISO", "DIN", "SHA", "Tickover"}
WORD = re.compile(r"[A-Za-z][A-Za-z’'-]+")
LONG_ENOUGH = 3  # letters: shorter data would take pieces out of sentences


def garbled(text: str) -> str:
    """Placeholders and markup stay.

    >>> garbled("Visit {number}")
    'Øøøøø {number}'
    """
    return "".join(part if KEPT.fullmatch(part) else part.translate(LETTERS) for part in KEPT.split(text))


class Garbled(NullTranslations):
    """Only what the catalogue has: a text that nobody has translated stays plain."""

    def __init__(self) -> None:
        super().__init__()
        self.real = trans_real.DjangoTranslation(LANGUAGE)

    def gettext(self, message: str) -> str:
        return garbled(message) if self.real._catalog.get(message) else message

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        known = self.real.ngettext(msgid1, msgid2, n) not in (msgid1, msgid2)
        chosen = msgid1 if n == 1 else msgid2
        return garbled(chosen) if known else chosen

    def language(self) -> str:
        return LANGUAGE

    def to_language(self) -> str:
        return LANGUAGE


class Read(HTMLParser):
    """What a person reads of a page, or hears of it."""

    def __init__(self) -> None:
        super().__init__()
        self.said: list[str] = []
        self.unread: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        named = dict(attrs)
        if tag in {"script", "style"} or (named.get("lang") and tag != "html"):
            self.unread.append(tag)
        self.said += [named[name] or "" for name in READ_OUT if named.get(name)]
        if tag == "input" and named.get("type") in {"submit", "button"}:
            self.said.append(named.get("value") or "")

    def handle_endtag(self, tag: str) -> None:
        if self.unread and self.unread[-1] == tag:
            self.unread.pop()

    def handle_data(self, data: str) -> None:
        if not self.unread:
            self.said.append(data)


def texts_of(html: str) -> list[str]:
    read = Read()
    read.feed(html)
    return read.said


def data() -> re.Pattern[str]:
    """Whatever the rows hold that people typed."""
    values = {piece for value in _values() for piece in (_flat(value), *map(_flat, value.splitlines()))}
    longest_first = sorted((value for value in values if len(value) >= LONG_ENOUGH), key=len, reverse=True)
    return re.compile(rf"(?<!\w)(?:{'|'.join(map(re.escape, longest_first))})(?!\w)", re.IGNORECASE)


def untranslated(texts: Iterable[str], known: re.Pattern[str]) -> list[str]:
    """The texts that hold a plain word which is no data and no unit."""
    found = []
    for text in map(_flat, texts):
        rest = known.sub(" ", re.sub(r"https?://\S+", " ", text))
        if any(word not in UNITS | NAMES for word in WORD.findall(rest)):
            found.append(text)
    return list(dict.fromkeys(found))


def _values() -> Iterator[str]:
    for model in (model for app in OUR_APPS for model in apps.get_app_config(app).get_models()):
        if model._meta.model_name in WRITTEN_BY_US:
            continue
        for field in model._meta.concrete_fields:
            if isinstance(field, JSONField):
                for value in model._default_manager.values_list(field.name, flat=True):
                    yield from _strings(value)
            elif isinstance(field, CharField | TextField) and not field.choices:
                yield from map(
                    str, model._default_manager.exclude(**{field.name: None}).values_list(field.name, flat=True)
                )


def _strings(value: object) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        yield from (text for each in value.values() for text in _strings(each))
    elif isinstance(value, list):
        yield from (text for each in value for text in _strings(each))


def _flat(text: str) -> str:
    return " ".join(text.split())
