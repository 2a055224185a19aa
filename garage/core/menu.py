"""The workshop's menu: what each role goes to all day stands in its row, the rest under one word."""

from __future__ import annotations

from dataclasses import dataclass

MECHANIC, FRONT_DESK, BOSS = "mechanic", "front-desk", "boss"  # as a person's role is stored


@dataclass(frozen=True)
class MenuEntry:
    """address: the name of its URL. words: as the menu says it."""

    address: str
    words: str


@dataclass(frozen=True)
class Menu:
    """row: always in sight. more: under "More"."""

    row: tuple[MenuEntry, ...]
    more: tuple[MenuEntry, ...]


_ALL = (
    MenuEntry("day-sheet", "Day sheet"),
    MenuEntry("cards", "Cards"),
    MenuEntry("fix-first", "Fix first"),
    MenuEntry("ring-list", "Ring list"),
    MenuEntry("visits", "Visits"),
    MenuEntry("standby", "Standby"),
    MenuEntry("week", "Week"),
    MenuEntry("owners", "Owners"),
    MenuEntry("the-book", "The book"),
    MenuEntry("sent", "Sent"),
    MenuEntry("learned", "What we learned"),
    MenuEntry("shop", "The shop"),
    MenuEntry("account", "Your log-in"),
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
