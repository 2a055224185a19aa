"""The two errors a person may see, both showable as they stand.

BadInput  what came in cannot be used: names the place, what was found and what is allowed.
          A form puts it beside its field, a JSON line into its "error", a page into its message.
Refused   the input is fine but the change is not possible now: one sentence, with the way out.

Each knows the status of the page that says it (RFC 9110, 15.5): 422 for what cannot be used, 409 for what cannot be
done now. A kind of refusal that needs another one says so in its own class.
"""

from __future__ import annotations

from typing import ClassVar


class Showable(Exception):
    """An error whose text is one sentence meant for the person in front of the screen."""

    status: ClassVar[int]

    @property
    def sentence(self) -> str:
        return str(self)


class Told(str):
    """What was found, in words of our own: told as it stands, where what was typed is quoted.

    >>> str(BadInput("The clip", Told("an empty file"), "a sound"))
    'The clip is an empty file; allowed is a sound.'
    """

    __slots__ = ()


class BadInput(Showable):
    """where: the field as the user knows it; found: what was there; allowed: what may stand there.

    >>> str(BadInput("stroke_mm", -3, "a length above 0"))
    'stroke_mm is -3; allowed is a length above 0.'
    """

    status = 422

    def __init__(self, where: str, found: object, allowed: str) -> None:
        self.where, self.found, self.allowed = where, found, allowed
        super().__init__(f"{where} {_said(found)}; allowed is {allowed}.")


class Refused(Showable):
    """A change that cannot be made now; the sentence says why and what can be done instead."""

    status = 409


def _said(found: object) -> str:
    if found is None:
        return "is missing"
    text = repr(found) if isinstance(found, str) and not isinstance(found, Told) else str(found)
    return f"is {text if len(text) <= 60 else text[:57] + '...'}"
