"""Main jets: which line is about one, what size it says, and whether one is smaller than another.

The number of a jet is the bore in hundredths of a millimetre, or what flows through it, by its maker; so two numbers of
one maker say which is smaller, and no more.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from garage.core.errors import BadInput

MAIN_JET = "main jet"
MM_BELOW = 10.0  # numbers below are bores in mm: no jet has a bore of 0.1 mm, none one of 10 mm
PLUG = "plug"
ASKS_FOR_PLUG = (
    "After a smaller main jet read the plug: warm it up, hold it at working load, cut it clean, let it cool and look "
    "at the porcelain. White, or grey specks: put the larger jet back."
)
LEAN = (
    "A smaller main jet makes it leaner at full throttle. A lean mixture runs hot and can hole the piston or seize the "
    "engine. It needs a passed gate and a run at working load on this visit that did not break down; read the plug "
    "after."
)
_NUMBER = re.compile(r"\d+(?:[.,]\d+)?")
_MAIN = re.compile(r"\bmain\b|\bmj\b", re.IGNORECASE)


def is_main_jet(words: str) -> bool:
    """Of a jet as people name it.

    >>> [is_main_jet(words) for words in ("Main jet", "main, left", "MJ", "Idle jet", "Pilot jet")]
    [True, True, True, False, False]
    """
    return _MAIN.search(words) is not None


def size_of(said: str) -> float | None:
    """The first number, a bore in mm taken as hundredths. None if there is none.

    >>> size_of("98"), size_of("No. 97,5"), size_of("0.98 mm"), size_of("the old one")
    (98.0, 97.5, 98.0, None)
    """
    found = _NUMBER.search(said)
    if found is None:
        return None
    number = float(found[0].replace(",", "."))
    return round(100 * number, 3) if number < MM_BELOW else number


def is_smaller(*, before: str, after: str) -> bool:
    """before: the main jet that comes out, or the one known to be in. after: the one that goes in, empty if none does.

    Raises BadInput where a jet goes in and it cannot be told which of the two is smaller.

    >>> is_smaller(before="98", after="95"), is_smaller(before="95", after="98"), is_smaller(before="98", after="")
    (True, False, False)
    """
    if not after:
        return False
    sizes = size_of(before), size_of(after)
    if sizes[1] is None:
        raise BadInput("Main jet put in", after, "its size as a number, such as 98: a smaller one has conditions")
    if sizes[0] is None:
        allowed = "its size as a number, such as 98, to tell whether the new one is smaller"
        raise BadInput("Main jet taken out", before or None, allowed)
    return sizes[1] < sizes[0]


def may_be_smaller(*, before: str, after: str) -> bool:
    """As is_smaller, of what a run says that is there already: where it cannot be told, it may be.

    >>> may_be_smaller(before="98", after="std"), may_be_smaller(before="std", after="std")
    (True, False)
    """
    sizes = size_of(before), size_of(after)
    if not after or before == after:
        return False
    return sizes[0] is None or sizes[1] is None or sizes[1] < sizes[0]


def is_plug_read(words: Iterable[str]) -> bool:
    """Whether one of these lines, written after the jet, is a reading of the plug or a note of it.

    >>> is_plug_read(["Pulls clean", "Plug: light brown"]), is_plug_read(["Pulls clean"])
    (True, False)
    """
    return any(PLUG in said.lower() for said in words)
