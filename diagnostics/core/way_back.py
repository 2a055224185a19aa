"""The way back from "do not run": once found and put right, the finding no longer counts, and the gate asks for the
check that fits.

Which check fits which finding: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Collection
from enum import Enum

from garage.core.errors import BadInput, Refused, Unquoted

SHORTEST_WORDS, LONGEST_WORDS = 10, 200  # characters of what was found and put right; common practice, no source


class Check(Enum):
    """What the gate must see before such a machine may go on the rollers."""

    STROBE = "strobe"
    GAUGE = "gauge"


CHECK_WORDS = {
    Check.STROBE: "It was put right after a finding about its timing: the strobe is read at tickover and at peak revs.",
    Check.GAUGE: "It was put right after a finding about piston or bore: compression or leak-down is measured.",
}
_FITS: dict[str, tuple[Check, ...]] = {
    "strobe_idle": (Check.STROBE,),
    "strobe_peak": (Check.STROBE,),
    "pinking": (Check.STROBE,),
    "nipped": (Check.GAUGE,),
    "plug": (Check.STROBE, Check.GAUGE),  # speckled: metal off the piston
}


def checks_for(put_right: Collection[str]) -> tuple[Check, ...]:
    """The checks that fit the questions whose findings were put right. The others have their own line at the gate.

    >>> checks_for(["nipped", "fuel"])
    (<Check.GAUGE: 'gauge'>,)
    """
    wanted = {check for question in put_right for check in _FITS.get(question, ())}
    return tuple(check for check in Check if check in wanted)


def check_put_right(question: str, words: str, *, stops: Collection[str], has_cause: bool) -> None:
    """Raises Refused or BadInput unless the finding can be called put right.

    question: whose finding it is. words: what was found and put right. stops: the questions whose findings stop the
    machine now. has_cause: whether the card says what it was.
    """
    if question not in stops:
        raise Refused("This finding does not keep the machine from being run: there is nothing to put right in it.")
    if not has_cause:
        raise Refused("Say on the card what it was, then say here that it is put right.")
    check_words(words)


def check_words(words: str) -> None:
    """Raises BadInput unless they say what was found and what was done about it."""
    if not SHORTEST_WORDS <= len(words) <= LONGEST_WORDS:
        found = Unquoted(f"{len(words)} characters") if words else None
        allowed = f"what was found and what was done, {SHORTEST_WORDS} to {LONGEST_WORDS} characters"
        raise BadInput("Found and put right", found, allowed)
