"""The language that an owner's sentences are in. English is what stands in the code; another is said at the edge.

As the currency (garage/core/currencies.py), one language is in force: the reader's, set where a request, a mail or a
paper begins, together with the function that finds a sentence in that language. Without one everything is English:
the workshop's pages, the batch commands, the trail.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass

ENGLISH, GERMAN, ITALIAN = "en", "de", "it"
LANGUAGES = {ENGLISH: "English", GERMAN: "Deutsch", ITALIAN: "italiano"}  # each as it calls itself
TAGS = {ENGLISH: "en-GB", GERMAN: "de", ITALIAN: "it"}  # BCP 47, for the pages' lang
# A thousand two hundred and fifty and a half: German and Italian have points between thousands, a comma after units.
_TO_COMMA = str.maketrans(",.", ".,")


@dataclass(frozen=True)
class _Language:
    code: str = ENGLISH
    find: Callable[[str], str] = str


_AT_FIRST = _Language()
_IN_FORCE = ContextVar("language in force", default=_AT_FIRST)


@contextmanager
def in_language(code: str, find: Callable[[str], str]) -> Iterator[None]:
    """Sentences made within are in it. find: from the English text to the text in that language, as gettext does.

    >>> with in_language("de", {"Good morning, {name}.": "Guten Morgen, {name}."}.get):
    ...     told("Good morning, {name}.", name="Edith")
    'Guten Morgen, Edith.'
    """
    before = _IN_FORCE.set(_Language(code, find))
    try:
        yield
    finally:
        _IN_FORCE.reset(before)


def put_language(code: str, find: Callable[[str], str]) -> None:
    """For all that follows in this thread, within what in_language gives back at its end."""
    _IN_FORCE.set(_Language(code, find))


def language_in_force() -> str:
    """A key of LANGUAGES."""
    return _IN_FORCE.get().code


def in_english(make: Callable[..., str], *values: object) -> str:
    """What it makes with English in force: for the trail, which the workshop reads.

    >>> with in_language("de", {"{weekday}": "Mittwoch"}.get):
    ...     in_english(in_figures, "1,250.5")
    '1,250.5'
    """
    with in_language(ENGLISH, str):
        return make(*values)


def put_on_paper(language: str) -> dict[str, str]:
    """For the buyer of a paper that is frozen, read by language_on_paper. English is what stands where nothing does.

    >>> put_on_paper("it"), put_on_paper("en")
    ({'language': 'it'}, {})
    """
    return {} if language == ENGLISH else {"language": language}


def language_on_paper(buyer: Mapping[str, object]) -> str:
    """What a frozen paper is written in, whatever its owner reads since. buyer: as it keeps them. English where it
    names none: papers of earlier releases, and those whose buyer is gone by the law.

    >>> language_on_paper({"language": "de"}), language_on_paper({})
    ('de', 'en')
    """
    return str(buyer.get("language") or ENGLISH)


def told_later(text: str) -> str:
    """Marks a text that is told() further on, by its name here: the catalogues are collected from both."""
    return text


def told(text: str, /, **values: object) -> str:
    """A sentence for an owner, in the language in force. text: the English; values stand in it as {name}.

    The text is written out where this is called: the catalogues are collected from there.

    >>> told("Room for {count} more.", count=3)
    'Room for 3 more.'
    """
    found = _IN_FORCE.get().find(text)
    return found.format(**values) if values else found


def in_figures(english: str) -> str:
    """A number written the English way, as the language in force writes it.

    >>> in_figures("1,250.5")
    '1,250.5'
    >>> with in_language("de", str):
    ...     in_figures("1,250.5")
    '1.250,5'
    """
    return english if language_in_force() == ENGLISH else english.translate(_TO_COMMA)


def amid(name: str) -> str:
    """A name such as "Set-up" within a sentence. German keeps the capital of a noun.

    >>> amid("Set-up")
    'set-up'
    """
    return name if language_in_force() == GERMAN else name.lower()
