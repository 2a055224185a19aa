"""The walk that shows somebody new round: five stops for each role, each a page of the menu."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from garage.core.menu import BOSS, FRONT_DESK, MECHANIC


@dataclass(frozen=True)
class StopOnTheRound:
    """address: the name of the page's URL. called: the page as a link to it says. words: what to see there."""

    address: str
    called: str
    words: str


@dataclass(frozen=True)
class StandsAt:
    """number: 1 for the first. after: the stop to go to from here, None at the last."""

    number: int
    of: int
    stop: StopOnTheRound
    after: StopOnTheRound | None


_DAY = "Each line is a machine, each track a place. Outlined is planned, the upright line is now."
_ROUNDS = {
    BOSS: (
        StopOnTheRound("day-sheet", "the day sheet", f"The day. {_DAY} What needs a hand now stands below it."),
        StopOnTheRound(
            "fix-first", "fix first", "What to put right before the rollers, with the reason. Open one to decide on it."
        ),
        StopOnTheRound("cards", "the cards", "One card a machine: clock, parts, words, and what it really was."),
        StopOnTheRound("the-book", "the book", "Invoices, payments and tax: what is owed, and who owes it."),
        StopOnTheRound(
            "shop", "the shop", "Hours, people, prices, and what being wrong costs. Search finds all the rest."
        ),
    ),
    FRONT_DESK: (
        StopOnTheRound("day-sheet", "the day sheet", f"The day. {_DAY} Take in machines from “Still to come”."),
        StopOnTheRound(
            "ring-list", "the ring list", "Owners to ring today, and what to ask each. Write down the answer."
        ),
        StopOnTheRound("visits", "the visits", "Every visit, by state. Each visit’s page says the next thing to do."),
        StopOnTheRound("the-book", "the book", "What is owed. Invoices begin at the visit, sales at the counter here."),
        StopOnTheRound("sent", "sent", "Every message that went out or waits. What came back is told by telephone."),
    ),
    MECHANIC: (
        StopOnTheRound("day-sheet", "the day sheet", f"The day. {_DAY} Your own work is marked “yours”."),
        StopOnTheRound("cards", "the cards", "Open work. A card holds clock, bench, parts and words: tap, don’t type."),
        StopOnTheRound("fix-first", "fix first", "What comes to the bench before the rollers, likeliest cause first."),
        StopOnTheRound("visits", "the visits", "Every visit. From one that is here you start its gate."),
        StopOnTheRound("account", "your log-in", "Your password, a second lock, and your work as a calendar."),
    ),
}


def round_of(role: str) -> tuple[StopOnTheRound, ...]:
    """role: mechanic, front-desk or boss; raises KeyError at another.

    >>> [stop.called for stop in round_of("mechanic")]
    ['the day sheet', 'the cards', 'fix first', 'the visits', 'your log-in']
    """
    return _ROUNDS[role]


def stands_at(stops: Sequence[StopOnTheRound], address: str) -> StandsAt | None:
    """Where on the round a page is; None at a page that is no stop.

    >>> here = stands_at(round_of("boss"), "cards")
    >>> here.number, here.after.address
    (3, 'the-book')
    """
    for index, (stop, after) in enumerate(zip(stops, (*stops[1:], None), strict=True)):
        if stop.address == address:
            return StandsAt(index + 1, len(stops), stop, after)
    return None
