"""The workshop's menu: what each role goes to all day stands in its row, the rest under one word."""

from __future__ import annotations

from dataclasses import dataclass

MECHANIC, FRONT_DESK, BOSS = "mechanic", "front-desk", "boss"  # as a person's role is stored


@dataclass(frozen=True)
class Place:
    """address: the name of its URL. words: as the menu says it."""

    address: str
    words: str


@dataclass(frozen=True)
class Menu:
    """row: always in sight. more: under "More"."""

    row: tuple[Place, ...]
    more: tuple[Place, ...]


_ALL = (
    Place("day-sheet", "Day sheet"),
    Place("cards", "Cards"),
    Place("fix-first", "Fix first"),
    Place("ring-list", "Ring list"),
    Place("visits", "Visits"),
    Place("standby", "Standby"),
    Place("week", "Week"),
    Place("owners", "Owners"),
    Place("the-book", "The book"),
    Place("sent", "Sent"),
    Place("learned", "What we learned"),
    Place("shop", "The shop"),
    Place("account", "Your log-in"),
)
_NOT_FOR = {MECHANIC: {"the-book", "shop"}, FRONT_DESK: {"shop"}, BOSS: set[str]()}
_ALL_DAY = {
    MECHANIC: {"day-sheet", "cards"},
    FRONT_DESK: {"day-sheet", "ring-list", "visits"},
    BOSS: {"day-sheet", "fix-first", "the-book"},
}


def menu_of(role: str) -> Menu:
    """role: mechanic, front-desk or boss; raises KeyError at another.

    >>> [place.words for place in menu_of("mechanic").row]
    ['Day sheet', 'Cards']
    """
    open_to = [place for place in _ALL if place.address not in _NOT_FOR[role]]
    return Menu(
        tuple(place for place in open_to if place.address in _ALL_DAY[role]),
        tuple(place for place in open_to if place.address not in _ALL_DAY[role]),
    )
