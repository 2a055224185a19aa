"""The two kinds of error that a person sees. Both can be shown unchanged.

BadInput  the input cannot be used: it names the field, what was found and what is allowed.
          A form shows it beside the field, a JSON line in its "error", a page in its message.
Refused   the input is fine but the change is not possible now: one sentence that says what to do instead.

Each error knows the HTTP status of its page (RFC 9110, 15.5): 422 for input that cannot be used, 409 for a change that
is not possible now. A subclass that needs another status sets its own.
"""

from __future__ import annotations

from typing import ClassVar

from garage.core.text.languages import told


class Showable(Exception):
    """An error whose text is one sentence written for the person at the screen."""

    status: ClassVar[int]

    @property
    def sentence(self) -> str:
        return str(self)


class Unquoted(str):
    """What was found, in our own words. It is printed without quotes, unlike what somebody typed.

    >>> str(BadInput("The clip", Unquoted("an empty file"), "a sound"))
    'The clip is an empty file; allowed is a sound.'
    """

    __slots__ = ()


class BadInput(Showable):
    """where: the field as the user knows it. found: what was there. allowed: what would be accepted.

    >>> str(BadInput("stroke_mm", -3, "a length above 0"))
    'stroke_mm is -3; allowed is a length above 0.'
    """

    status = 422

    def __init__(self, where: str, found: object, allowed: str) -> None:
        self.where, self.found, self.allowed = where, found, allowed
        if found is None:
            super().__init__(told("{where} is missing; allowed is {allowed}.", where=where, allowed=allowed))
        else:
            said = told("{where} is {found}; allowed is {allowed}.", where=where, found=_said(found), allowed=allowed)
            super().__init__(said)


class Refused(Showable):
    """A change that is not possible now. The sentence says why and what to do instead."""

    status = 409


def _said(found: object) -> str:
    text = repr(found) if isinstance(found, str) and not isinstance(found, Unquoted) else str(found)
    return text if len(text) <= 60 else text[:57] + "..."
