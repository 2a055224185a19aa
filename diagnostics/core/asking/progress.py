"""How far an owner is on the check sheet: how many questions come is not known before the end, and none is invented."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

USUALLY_ASKED = 9  # median over sheets simulated from the bank (`make bench`), shown as "about" until it is known


class SheetMark(Enum):
    """One mark of the progress line."""

    ANSWERED = "answered"
    HERE = "here"
    PERHAPS = "perhaps"


@dataclass(frozen=True)
class SheetProgress:
    """number: of the question on the page, from 1; 0 where none is. done: questions answered. about: how many there
    will be; an estimate until is_known, since an open answer can make another question worth asking.

    >>> SheetProgress.of(done=3, number=4, has_more=True).about
    9
    """

    number: int
    done: int
    about: int
    is_known: bool

    @classmethod
    def of(cls, *, done: int, number: int, has_more: bool) -> SheetProgress:
        """has_more: a question is worth asking after the one on the page."""
        so_far = max(done, number)
        about = max(USUALLY_ASKED, so_far + 1) if has_more else so_far
        return cls(number, done, about, is_known=not has_more and number <= done)

    @property
    def marks(self) -> tuple[SheetMark, ...]:
        """One for each question, in the order of asking."""
        return tuple(
            SheetMark.HERE if place == self.number else SheetMark.ANSWERED if place <= self.done else SheetMark.PERHAPS
            for place in range(1, self.about + 1)
        )
