"""Puts a language in force: for the templates, which are Django's to translate, and for the sentences of the cores."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from django.utils import translation
from django.utils.translation.trans_real import parse_accept_lang_header

from garage.core.text.languages import ENGLISH, LANGUAGES, in_language, put_language

_DJANGO = {ENGLISH: "en-gb"}  # what Django calls it, where that is something else


@contextmanager
def speaking(code: str) -> Iterator[None]:
    """code: a key of LANGUAGES. What is in force before comes back at the end."""
    with translation.override(_DJANGO.get(code, code)), in_language(code, _found):
        yield


def speak(code: str) -> None:
    """From here on, within a speaking() that was begun further out."""
    translation.activate(_DJANGO.get(code, code))
    put_language(code, _found)


def wanted(accepted: str) -> str:
    """The first language of an Accept-Language header (RFC 9110, 12.5.4) that pages are written in, else English.

    >>> wanted("fr, de-AT;q=0.8, en;q=0.5")
    'de'
    """
    for tag, _quality in parse_accept_lang_header(accepted):
        if (code := tag.partition("-")[0]) in LANGUAGES:
            return code
    return ENGLISH


def _found(text: str) -> str:
    return translation.gettext(text) if text else ""
