"""From `make run DEMO=never` to the first sold roller time, in a real browser: by pointer, and without JavaScript."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from playwright.sync_api import sync_playwright

from tests import servers
from tests.browser.chromium import CHROMIUM, QUIET
from tests.browser.conftest import Started
from tests.browser.hands import Hand
from tests.browser.story import OWNER
from tests.browser.watch import axe_troubles, not_reached_by_keyboard, scrolls_sideways
from tests.prepared import copied

pytestmark = pytest.mark.long(minutes=1.5)

PHONE, DESKTOP = {"width": 320, "height": 700}, {"width": 1280, "height": 900}
PASSWORD = "quarry-lane-77"


def is_clean(hand: Hand) -> None:
    hand.page.set_viewport_size(DESKTOP)
    found = {"axe": axe_troubles(hand.page), "keyboard": not_reached_by_keyboard(hand.page)}
    found["sideways at 320 px"] = scrolls_sideways(hand.page)
    hand.page.set_viewport_size(PHONE)
    found["axe at 320 px"] = axe_troubles(hand.page)
    assert {what: troubles for what, troubles in found.items() if troubles} == {}, hand.page.url


def code_in_the_terminal(live: servers.LiveTickover) -> str:
    said = re.search(r"/begin/ with the code (\S+)", "".join(live.said))
    assert said, live.said
    return said[1]


@pytest.mark.parametrize("has_script", [True, False], ids=["with a script", "without JavaScript"])
def test_an_empty_garage_is_led_to_its_first_sold_roller_time(has_script: bool, tmp_path: Path, prepared_data: Path):
    look = is_clean if has_script else lambda hand: None  # axe is a script
    data = tmp_path / "var"  # from nothing at all, and once more from a database that is made and empty
    with (
        servers.live_tickover(data if has_script else copied(prepared_data, data)) as live,
        sync_playwright() as playwright,
    ):
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=[f"--{flag}" for flag in QUIET])
        started = Started(live, browser)
        ways = {"viewport": PHONE, "java_script_enabled": has_script}
        with started.context(**ways) as bosses, started.context(**ways) as owners:
            boss, owner = (Hand(each.new_page(), live.base_url) for each in (bosses, owners))
            owner.goes_to("/")
            assert "not open yet" in owner.heading
            look(owner)
            makes_the_first_log_in(boss, code_in_the_terminal(live), look)
            is_led_through_the_pages(boss, look)
            owner.goes_to("/")
            assert "not open yet" in owner.heading
            opens(boss, look)
            owner.goes_to("/begin/")
            assert owner.page.locator("main form").count() == 0
            books(owner)
        assert started.watch.complaints == []
        assert live.rows("select state from garage_visit") == [("booked",)]
        browser.close()


def makes_the_first_log_in(hand: Hand, code: str, look) -> None:
    hand.goes_to("/")
    hand.link("make the first log-in")
    look(hand)
    for typed in ("AAAA-BBBB-CCCC", code):
        hand.types("Code", typed)
        hand.types("Your name", "Jo Harker")
        hand.types("Password", PASSWORD)
        hand.types("The same again", PASSWORD)
        hand.button("Begin")
        look(hand)
    assert hand.heading == "The garage"


def is_led_through_the_pages(hand: Hand, look) -> None:
    """Left once, and gone back once: what was typed is still there."""
    hand.types("Name", "Quarry Lane Rolling Road")
    hand.button("Leave it for now")
    look(hand)
    hand.link("The garage")
    assert hand.page.get_by_label("Name").first.input_value() == "Quarry Lane Rolling Road"
    hand.types("Address", "Quarry Lane\nAmbleford")
    hand.types("Telephone", "01632 960185")
    hand.types("Email address", "workshop@example.com")
    hand.button("Save and go on")
    look(hand)
    for weekday in ("Saturday", "Sunday"):
        hand.types(f"{weekday}: opens", "08:00")
        hand.types(f"{weekday}: closes", "17:30")
    hand.button("Save and go on")
    look(hand)
    hand.types("From", "09:00")
    hand.button("Back")
    assert hand.page.get_by_label("Saturday: opens").input_value() == "08:00"
    hand.button("Save and go on")
    assert hand.page.get_by_label("From").first.input_value() == "09:00"
    hand.button("Save and go on")
    look(hand)
    hand.types("Price, pounds", "120")
    hand.types("Deposit, pounds", "150")
    hand.button("Save and go on")
    assert "allowed is 0 to the price" in hand.words
    hand.types("Deposit, pounds", "0")
    hand.button("Save and go on")
    look(hand)
    hand.types("Labour, pounds an hour", "48,50")
    hand.button("Save and go on")
    look(hand)
    assert "Nothing is missing" in hand.words


def opens(hand: Hand, look) -> None:
    hand.button("Open the garage")
    assert hand.heading == "The garage is open"
    look(hand)
    hand.link("The booking page")
    assert hand.page.locator("button[name=starts_at]").count() > 0


def books(hand: Hand) -> None:
    """A machine that the new garage has no kind for."""
    hand.goes_to("/")
    hand.link("Book set-up")
    hand.presses(hand.page.locator("ul.times button").first)
    hand.types("Your name", OWNER.name)
    hand.types("Email address", OWNER.email)
    hand.types("Telephone", OWNER.telephone)
    hand.chooses("Machine", "another")
    hand.types("Make and model", "Corrick 185")
    hand.types("What’s wrong with it", "It stutters at high revs. Jets, I think.")
    hand.button("Check it all")
    hand.button("Book it")
    assert hand.page.url.endswith("/booked/")
