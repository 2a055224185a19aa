"""The main job in a real browser, done by thumb, by keyboard and without JavaScript, and every button pressed once.

In a garage of its own: what is pressed here changes what the walk through the pages would find.
"""

from __future__ import annotations

import pytest

from tests.browser import addresses as places
from tests.browser import story
from tests.browser.conftest import Started
from tests.browser.hands import Hand, KeyboardHand
from tests.browser.other_buttons import presses_the_others
from tests.browser.story import OWNER

pytestmark = pytest.mark.long(minutes=4)

DESKTOP = {"width": 1280, "height": 900}
PHONE = {"viewport": {"width": 390, "height": 844}, "is_mobile": True, "has_touch": True, "device_scale_factor": 3}
WAYS = {
    "on a phone with a thumb": (PHONE, Hand),
    "at a desk with the keyboard alone": ({"viewport": DESKTOP}, KeyboardHand),
    "without JavaScript": ({"viewport": DESKTOP, "java_script_enabled": False}, Hand),
}


@pytest.mark.parametrize("way", WAYS)
def test_the_main_job_is_done_once_through(way: str, started: Started):
    choices, kind_of_hand = WAYS[way]
    started.watch.complaints.clear()
    with started.context(**choices) as owners, started.context(**choices) as workshops:
        started.logs_in(workshops, "boss")
        has_touch = bool(choices.get("has_touch"))
        hands = [
            kind_of_hand(each.new_page(), started.live.base_url, has_touch=has_touch) for each in (owners, workshops)
        ]
        story.main_job(*hands, OWNER)
    assert started.watch.complaints == []


@pytest.mark.parametrize("way", WAYS)
def test_another_machine_takes_the_rollers_of_one_that_fails_its_gate(way: str, started: Started):
    choices, kind_of_hand = WAYS[way]
    started.watch.complaints.clear()
    with started.context(**choices) as workshops:
        started.logs_in(workshops, "boss")
        has_touch = bool(choices.get("has_touch"))
        hand = kind_of_hand(workshops.new_page(), started.live.base_url, has_touch=has_touch)
        story.rollers_are_taken_over(hand, started.live)
    assert started.watch.complaints == []


def test_every_button_there_is_does_something(started: Started):
    """At a desk with a pointer: the main job, then the rest. A new address that no button of these reaches fails it."""
    started.watch.complaints.clear()
    started.watch.posted.clear()
    with started.context(viewport=DESKTOP) as owners, started.context(viewport=DESKTOP) as workshops:
        started.logs_in(workshops, "boss")
        owner, boss = (Hand(each.new_page(), started.live.base_url) for each in (owners, workshops))
        story.main_job(owner, boss, OWNER)
        presses_the_others(boss, started.live)
        owner.goes_to("/")
        for own_name in ("Deutsch", "English"):
            owner.button(own_name)
    assert set(places.PRESSED) - started.watch.posted == set()
    assert started.watch.complaints == []
