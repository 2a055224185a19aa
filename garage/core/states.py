"""The states of a visit in a mechanic's words, and which may follow which."""

from __future__ import annotations

from garage.core.errors import Refused
from garage.core.text.languages import told_later

HELD = "held"
DEPOSIT_AWAITED = "deposit-awaited"
BOOKED = "booked"
TO_PUT_RIGHT = "to-put-right"
HERE = "here"
ON_THE_BENCH = "on-the-bench"
ON_THE_ROLLERS = "on-the-rollers"
WAITING_FOR_PARTS = "waiting-for-parts"
WAITING_FOR_OWNER = "waiting-for-owner"
READY = "ready"
COLLECTED = "collected"
CALLED_OFF = "called-off"
DID_NOT_COME = "did-not-come"
LAPSED = "lapsed"

WORDS = {
    HELD: told_later("held, not confirmed yet"),
    DEPOSIT_AWAITED: told_later("booked, deposit awaited"),
    BOOKED: told_later("booked"),
    TO_PUT_RIGHT: told_later("to be put right, no time yet"),
    HERE: told_later("here"),
    ON_THE_BENCH: told_later("on the bench"),
    ON_THE_ROLLERS: told_later("on the rollers"),
    WAITING_FOR_PARTS: told_later("waiting for parts"),
    WAITING_FOR_OWNER: told_later("waiting for the owner"),
    READY: told_later("ready to collect"),
    COLLECTED: told_later("collected"),
    CALLED_OFF: told_later("called off"),
    DID_NOT_COME: told_later("did not come"),
    LAPSED: told_later("not confirmed in time"),
}

COMING = frozenset({DEPOSIT_AWAITED, BOOKED, TO_PUT_RIGHT})
IN_THE_BUILDING = frozenset({HERE, ON_THE_BENCH, ON_THE_ROLLERS, WAITING_FOR_PARTS, WAITING_FOR_OWNER, READY})
OVER = frozenset({COLLECTED, CALLED_OFF, DID_NOT_COME, LAPSED})
OPEN = frozenset(WORDS) - OVER
UNPROVEN = frozenset({HELD, LAPSED})  # booked online: nobody knows yet whether the address is its owner's

_WORKING = frozenset({HERE, ON_THE_BENCH, ON_THE_ROLLERS, WAITING_FOR_PARTS, WAITING_FOR_OWNER})
_FROM_THE_FLOOR = _WORKING | {READY, TO_PUT_RIGHT}

MAY_FOLLOW: dict[str, frozenset[str]] = {
    HELD: frozenset({DEPOSIT_AWAITED, BOOKED, HERE, CALLED_OFF, LAPSED}),
    DEPOSIT_AWAITED: frozenset({BOOKED, TO_PUT_RIGHT, HERE, CALLED_OFF, DID_NOT_COME}),
    BOOKED: frozenset({TO_PUT_RIGHT, HERE, CALLED_OFF, DID_NOT_COME}),
    TO_PUT_RIGHT: frozenset({BOOKED, DEPOSIT_AWAITED, HERE, CALLED_OFF}),
    HERE: _FROM_THE_FLOOR - {HERE},
    ON_THE_BENCH: _FROM_THE_FLOOR - {ON_THE_BENCH},
    ON_THE_ROLLERS: _FROM_THE_FLOOR - {ON_THE_ROLLERS},
    WAITING_FOR_PARTS: _FROM_THE_FLOOR - {WAITING_FOR_PARTS},
    WAITING_FOR_OWNER: _FROM_THE_FLOOR - {WAITING_FOR_OWNER},
    READY: _WORKING | {COLLECTED},
    COLLECTED: frozenset(),
    CALLED_OFF: frozenset(),
    DID_NOT_COME: frozenset({BOOKED, DEPOSIT_AWAITED, TO_PUT_RIGHT}),
    LAPSED: frozenset({BOOKED, DEPOSIT_AWAITED}),
}


def check_move(now: str, then: str) -> None:
    """Raises Refused when a visit cannot go from one state to the other.

    >>> check_move("booked", "here")
    >>> check_move("collected", "here")
    Traceback (most recent call last):
    garage.core.errors.Refused: This visit is collected: it can't become "here" any more.
    """
    if then not in MAY_FOLLOW[now]:
        raise Refused(f'This visit is {WORDS[now]}: it can\'t become "{WORDS[then]}" any more.')


def why_not_here(number: int, state: str) -> str:
    """Why the machine of this visit cannot be worked on yet. Empty when it is in the building.

    >>> why_not_here(41, "booked")
    'Visit 41 is booked: take the machine in first.'
    """
    return "" if state in IN_THE_BUILDING else f"Visit {number} is {WORDS[state]}: take the machine in first."
