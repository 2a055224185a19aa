"""The main job once through, as owner and workshop live it. Told with any hand; what is read back is asserted."""

from __future__ import annotations

import re
from dataclasses import dataclass

from tests.browser.hands import Hand


@dataclass(frozen=True)
class Owner:
    name: str
    email: str
    telephone: str
    machine: str


OWNER = Owner("Jody Wray", "jody.wray@example.org", "07700 900333", "Corrick 185, 1979 to 1986")


def books_as_far_as_the_look(hand: Hand, kind: str, owner: Owner) -> None:
    hand.goes_to("/")
    hand.link(f"Book {kind.lower()}")
    hand._press(hand.page.locator("ul.times button").first)
    hand.types("Your name", owner.name)
    hand.types("Mail address", owner.email)
    hand.types("Telephone", owner.telephone)
    hand.chooses("Machine", owner.machine)
    hand.types("What troubles it", "It stutters at the top. Jets, I think.")
    hand.button("Look at everything")
    assert hand.heading == "Is all this right?"
    assert owner.name in hand.words


def visit_number(hand: Hand) -> int:
    return int(re.search(r"Visit (\d+)", hand.words).group(1))
