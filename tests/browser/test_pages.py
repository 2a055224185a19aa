"""Every page in a real browser: the walk goes through the URL configuration, and a page it does not visit fails it."""

from __future__ import annotations

import time
from collections.abc import Iterator

import pyotp
import pytest
from playwright.sync_api import BrowserContext, Page

from garage.core.letting_in.one_time_codes import SPARES, STEP_S
from tests.browser import addresses as places
from tests.browser.conftest import PASSWORDS, Started
from tests.browser.first_visit import DESKTOP, PHONE, bytes_of_first_visits, shifts_on_a_slow_network
from tests.browser.hands import Hand
from tests.browser.story import OWNER, books_as_far_as_the_look
from tests.browser.validator import errors_of
from tests.browser.watch import axe_troubles, not_reached_by_keyboard, scrolls_sideways, small_targets

pytestmark = pytest.mark.long(minutes=6)

WRITTEN = ["#write textarea, #write input[type=text]", "#add-part", "#add-reading"]  # note, part, reading
EDGES_PX = """places => places.map(place => {
  const box = document.querySelector(place).getBoundingClientRect();
  return [box.top, box.bottom];
})"""
OPEN_AT_ONCE = 8  # windows
HEAVIEST_BYTES = 100_000  # what the check sheet may weigh on a phone's first visit, style and letters included
HAS_FOCUS = "seen => seen === document.activeElement"


@pytest.fixture(scope="module")
def addresses(started: Started) -> dict[str, list[str]]:
    return started.addresses()


@pytest.fixture(scope="module")
def contexts(started: Started) -> Iterator[dict[str, BrowserContext]]:
    """One browser's window for each who: anybody, one with a time held open, one who has just booked, the boss."""
    with (
        started.context() as anybody,
        started.context() as holder,
        started.context() as booked,
        started.context() as boss,
    ):
        for context in (holder, booked):
            hand = Hand(context.new_page(), started.live.base_url)
            books_as_far_as_the_look(hand, "Power run", OWNER)
        hand.button("Book it")
        started.logs_in(boss, "boss")
        yield {places.ANYBODY: anybody, places.HOLDER: holder, places.BOOKED: booked, places.BOSS: boss}


@pytest.fixture(scope="module")
def opened(contexts: dict[str, BrowserContext]) -> dict[str, Page]:
    """One page in each window, since a browser starts a program of its own for each page that is opened."""
    return {who: context.new_page() for who, context in contexts.items()}


@pytest.fixture
def page(started: Started, opened: dict[str, Page], request: pytest.FixtureRequest) -> Iterator[Page]:
    """With nothing in it, and left so: what one page still does must not look like the doing of the next."""
    empty = opened[request.param]
    empty.set_viewport_size(DESKTOP)
    started.watch.complaints.clear()
    yield empty
    empty.goto("about:blank")


def test_every_address_of_the_url_configuration_has_its_place_in_the_walk():
    listed = [*places.PAGES, *places.ONCE, *places.FILES, *places.PRESSED]
    assert sorted(places.names()) == sorted(listed)


@pytest.mark.parametrize(("name", "page"), places.PAGES.items(), ids=list(places.PAGES), indirect=["page"])
def test_a_page_has_no_trouble_at_any_width_with_any_hand(name: str, page: Page, started: Started, addresses):
    for path in addresses[name]:
        answer = page.goto(started.live.base_url + path)
        assert answer.status == 200, path
        assert page.url.split("?")[0] == started.live.base_url + path.split("?")[0]
        found = {"axe": axe_troubles(page), "keyboard": not_reached_by_keyboard(page)}
        found["sideways at 320 px"] = scrolls_sideways(page)
        page.emulate_media(color_scheme="dark")
        found["axe at 320 px, by night"] = axe_troubles(page)
        page.emulate_media(color_scheme="light")
        found["too small for a thumb"] = small_targets(page)
        found["console and network"] = [*started.watch.complaints]
        assert {what: troubles for what, troubles in found.items() if troubles} == {}, path
        page.set_viewport_size(DESKTOP)


def test_every_page_is_html_as_the_standard_has_it(started, contexts, addresses, tmp_path):
    """By the W3C's validator, which also finds what is planted."""
    pages = {"planted": "<!doctype html><html lang=en><title>x</title><p><span><details></details></span>"}
    for name, who in places.PAGES.items():
        for path in addresses[name]:
            pages[path] = contexts[who].request.get(started.live.base_url + path).text()
    errors = errors_of(pages, tmp_path)
    others = [error for error in errors if not error.startswith("planted:")]
    assert len(others) < len(errors)
    assert others == [], "\n".join(others)


@pytest.mark.parametrize("page", [places.BOSS], indirect=True)
def test_on_a_phone_part_reading_and_note_lie_within_one_screen_of_the_action_in_hand(page, started, addresses):
    page.set_viewport_size(PHONE)
    seen = 0
    for path in addresses["card"]:
        page.goto(started.live.base_url + path)
        if not page.locator("#write").count():  # the card is closed
            continue
        seen += 1
        places_px = page.evaluate(EDGES_PX, ["#in-hand button, #in-hand a", *WRITTEN])
        assert max(bottom for _, bottom in places_px) - min(top for top, _ in places_px) <= PHONE["height"], path
    assert seen


@pytest.mark.parametrize("page", [places.BOSS], indirect=True)
def test_on_a_phone_the_workshops_menu_keeps_to_one_row_and_the_rest_opens_under_one_word(page, started):
    page.set_viewport_size({"width": 320, "height": 700})
    page.goto(f"{started.live.base_url}/day/")
    menu = page.get_by_role("navigation", name="Workshop")
    more, last = menu.locator("summary"), menu.get_by_role("button", name="Log out")
    assert menu.bounding_box()["height"] < 2 * more.bounding_box()["height"]
    assert not last.is_visible()
    more.click()
    last.scroll_into_view_if_needed()
    assert 0 <= last.bounding_box()["x"] < last.bounding_box()["x"] + last.bounding_box()["width"] <= 320
    page.keyboard.press("Escape")
    assert not last.is_visible()
    assert more.evaluate(HAS_FOCUS)


@pytest.mark.parametrize("page", [places.BOSS], indirect=True)
def test_keys_list_themselves_find_and_walk_a_list_and_can_be_switched_off(page, started):
    page.goto(f"{started.live.base_url}/cards/")
    keys, search = page.get_by_role("dialog", name="Keys"), page.get_by_role("searchbox").first
    page.keyboard.press("?")
    keys.wait_for()
    assert axe_troubles(page) == []
    keys.get_by_role("button", name="Close").click()
    rows = page.locator(".ruled-list a")
    rows.nth(0).focus()
    page.keyboard.press("ArrowDown")
    assert rows.nth(1).evaluate(HAS_FOCUS)
    page.keyboard.press("ArrowUp")
    assert rows.nth(0).evaluate(HAS_FOCUS)
    page.keyboard.press("/")
    assert search.evaluate(HAS_FOCUS)
    page.keyboard.press("?")  # typed, since one types here
    assert search.input_value() == "?"
    page.locator("summary", has_text="More").click()
    page.get_by_role("button", name="Keys").click()
    keys.get_by_label("in this browser").uncheck()
    keys.get_by_role("button", name="Close").click()
    rows.nth(0).focus()
    page.keyboard.press("?")
    page.keyboard.press("/")
    assert not keys.is_visible()
    assert rows.nth(0).evaluate(HAS_FOCUS)


def test_a_script_leads_from_the_wall_to_the_one_whose_part_comes_anew(started, contexts, addresses):
    wall = contexts[places.ANYBODY].new_page()
    answer = wall.goto(started.live.base_url + addresses["wall-by-link"][0].partition("?")[0])
    assert answer.headers["refresh"] == "60"
    wall.wait_for_url("**/wall/*/?live")
    wall.close()


def test_the_wall_stays_as_it_is_and_says_since_when_while_the_server_does_not_answer(started, contexts, addresses):
    wall = contexts[places.ANYBODY].new_page()
    wall.clock.install()
    wall.goto(started.live.base_url + addresses["wall-by-link"][0])
    away = wall.get_by_role("alert")
    assert not away.is_visible()
    wall.route("**/wall/**", lambda route: route.abort())
    wall.clock.fast_forward(61_000)
    away.wait_for(state="visible")
    assert away.inner_text().startswith(f"No news since {wall.locator('.as-of b').inner_text()}:")
    assert wall.locator(".day-threads").is_visible()
    wall.unroute("**/wall/**")
    wall.clock.fast_forward(61_000)
    away.wait_for(state="hidden")
    wall.close()


LONG_AGO = """
from garage.models.sessions import PROVED, BrowserSession, SessionStore
for row in BrowserSession.objects.filter(person__username="desk"):
    held = SessionStore(row.session_key)
    held[PROVED] = "2020-01-01T00:00:00+00:00"
    held.save()
"""


def test_the_pages_of_a_second_factor_and_of_the_password_again_have_no_trouble(started: Started):
    """Those that come only between two presses."""
    with started.context(viewport={"width": 320, "height": 700}) as context:
        started.logs_in(context, "desk")
        started.live.shell(LONG_AGO)
        hand = Hand(context.new_page(), started.live.base_url)
        hand.goes_to("/account/second-factor/")
        secret = hand.page.locator("code.words").inner_text().replace(" ", "")
        steps = int(time.time() // STEP_S)
        hand.types("Code", pyotp.TOTP(secret).generate_otp(steps))
        started.watch.complaints.clear()
        hand.button("Set it up")
        troubles = {"password again": troubles_of(hand.page)}
        started.watch.complaints.clear()  # of the 403
        hand.types("Your password", PASSWORDS["desk"])
        hand.button("Go on")
        troubles["spare codes"] = troubles_of(hand.page)
        assert hand.page.locator("ul.spares li").count() == SPARES
        hand.opens("More")
        hand.button("Log out")
        hand.goes_to("/log-in/")
        hand.types("Name", "desk")
        hand.types("Password", PASSWORDS["desk"])
        hand.button("Log in")
        troubles["code"] = troubles_of(hand.page)
        hand.types("Code", pyotp.TOTP(secret).generate_otp(steps + 1))
        hand.button("Log in")
        assert hand.page.url.endswith("/day/")
        assert {what: found for what, found in troubles.items() if found} == {}
        assert not started.watch.complaints


def troubles_of(page: Page) -> list[str]:
    return [*axe_troubles(page), *not_reached_by_keyboard(page), *scrolls_sideways(page)]


@pytest.mark.parametrize("name", places.FILES)
def test_a_file_is_served_with_its_own_type(name, started: Started, contexts, addresses):
    who, kind = places.FILES[name]
    for path in addresses[name]:
        answer = contexts[who].request.get(started.live.base_url + path)
        assert (answer.status, answer.headers["content-type"].partition(";")[0]) == (200, kind)
        assert len(answer.body()) > 100


@pytest.mark.parametrize("name", places.PRESSED)
def test_an_address_that_changes_something_is_not_opened_by_a_link(name, started: Started, contexts, addresses):
    """RFC 9110, 9.2.1: GET is safe. A link followed by a prefetcher must not change anything."""
    for path in addresses[name]:
        assert contexts[places.BOSS].request.get(started.live.base_url + path).status == 405


def test_a_page_of_the_check_sheet_is_light(started: Started, addresses):
    paths = [path for name in ("sheet", "sheet-question", "sheet-send", "sheet-outcome") for path in addresses[name]]
    weights = {}
    for first in range(0, len(paths), OPEN_AT_ONCE):
        weights |= bytes_of_first_visits(started, paths[first : first + OPEN_AT_ONCE])
    assert len(weights) > 10
    assert {path: weight for path, weight in weights.items() if weight > HEAVIEST_BYTES} == {}


@pytest.mark.parametrize("viewport", [PHONE, DESKTOP], ids=["phone", "desk"])
def test_nothing_jumps_while_the_front_page_comes_over_a_slow_network(started: Started, viewport):
    assert shifts_on_a_slow_network(started, "/", viewport) == 0
    moved = "document.querySelector('main').style.paddingTop = '200px'"
    assert shifts_on_a_slow_network(started, "/", viewport, moved) > 0


@pytest.mark.parametrize("page", [places.ANYBODY], indirect=True)
def test_the_walk_sees_each_kind_of_trouble(page: Page, started: Started):
    """The twin of the walk: the same page spoilt in each way that it looks for."""
    page.goto(started.live.base_url + "/")
    page.evaluate(
        """() => {
          document.querySelector("main").insertAdjacentHTML("beforeend", "<img src='https://example.org/x.png'><p></p>");
          document.querySelector("main p:last-child").style.width = "900px";
          document.querySelector("main").insertAdjacentHTML("beforeend", "<button>i</button>");
          document.querySelector("main > button:last-child").style.cssText = "min-height: 0; height: 20px; padding: 0";
          document.querySelector("main a").style.setProperty("outline", "none", "important");
        }"""
    )
    assert any(trouble.startswith("image-alt") for trouble in axe_troubles(page))
    spoilt = "document.querySelector('main h1').style.color = '#1d1b18'"  # the ink of the day, at night
    page.evaluate(spoilt)
    page.emulate_media(color_scheme="dark")
    assert any(trouble.startswith("color-contrast") for trouble in axe_troubles(page))
    page.emulate_media(color_scheme="light")
    assert not any(trouble.startswith("color-contrast") for trouble in axe_troubles(page))
    assert any("focus not shown" in trouble for trouble in not_reached_by_keyboard(page))
    assert any("900" in trouble or "px wide" in trouble for trouble in scrolls_sideways(page))
    assert any("<button" in trouble for trouble in small_targets(page))
    assert any("Content Security Policy" in complaint for complaint in started.watch.complaints)
    started.watch.complaints.clear()
