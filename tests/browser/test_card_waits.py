"""The card on a phone whose network is cut: what is written, tapped and photographed waits, and goes once."""

from __future__ import annotations

import io
from collections.abc import Iterator

import pytest
from PIL import Image
from playwright.sync_api import BrowserContext, Page, Route, expect

from tests.browser.conftest import Started
from tests.browser.watch import axe_troubles, scrolls_sideways

pytestmark = pytest.mark.long(minutes=1)

PHONE = {"viewport": {"width": 390, "height": 844}, "is_mobile": True, "has_touch": True}
HERE = "select number from garage_visit where state = 'here' order by number desc limit 1"
ELSEWHERE = "select number from garage_visit where state <> 'here' order by number limit 1"
# What browser and htmx write in the console of a request that got no answer, at the end of the line.
OF_THE_CUT = ("net::ERR_FAILED", "net::ERR_INTERNET_DISCONNECTED")
OF_THE_CUT += ("htmx:sendError, [object HTMLElement]", "htmx:afterRequest, [object HTMLElement]")
GONE_MS = 40_000.0  # ms; it tries every ten seconds, and several runs may share two cores
KEPT = """() => new Promise(done => indexedDB.open("tickover").onsuccess = opened =>
  opened.target.result.transaction("waiting").objectStore("waiting").count().onsuccess = counted =>
    done(counted.target.result))"""


@pytest.fixture
def phone(started: Started) -> Iterator[tuple[BrowserContext, Page]]:
    [number] = started.live.rows(HERE)[0]
    started.watch.complaints.clear()
    with started.context(**PHONE) as context:
        started.logs_in(context, "desk")  # whose clock runs nowhere
        page = context.new_page()
        page.goto(f"{started.live.base_url}/visits/{number}/card/")
        yield context, page
    assert [complaint for complaint in started.watch.complaints if not complaint.endswith(OF_THE_CUT)] == []


def taps(page: Page, name: str) -> None:
    page.get_by_role("button", name=name).first.tap()


def notes(page: Page, words: str) -> None:
    page.locator("#write").get_by_label("Note").fill(words)
    taps(page, "Write it on the card")


def photographs(page: Page) -> None:
    plain = io.BytesIO()
    Image.new("RGB", (64, 48), (120, 110, 90)).save(plain, "PNG")
    if not page.locator("#photo_file").is_visible():
        page.locator("#photos > details > summary").tap()
    page.locator("#photo_file").set_input_files({"name": "a.png", "mimeType": "image/png", "buffer": plain.getvalue()})
    taps(page, "Save the photo")


def says(page: Page, words: str) -> None:
    expect(page.locator("#waiting").get_by_role("status")).to_contain_text(words, timeout=GONE_MS)


TWICE_SENT = "select count(*) from jobs_cardline where words = 'Twice sent'"
NEWEST = "select words from jobs_cardline order by at desc limit 2"
PHOTOS, CLOCKS = "select count(*) from garage_photo", "select count(*) from jobs_labour"


def count(started: Started, rows: str) -> int:
    return started.live.rows(rows)[0][0]


def test_what_is_tapped_written_and_photographed_without_a_network_goes_in_order_when_it_is_back(started, phone):
    context, page = phone
    photos, clocks = count(started, PHOTOS), count(started, CLOCKS)
    running = count(started, f"{CLOCKS} where ended_at is null")
    context.set_offline(True)
    taps(page, "Start the clock")
    says(page, "Waiting for the signal: 1 tap. It is kept here until it has gone.")
    notes(page, "Written in the yard")
    notes(page, "And once more")
    taps(page, "Stop the clock")
    photographs(page)
    says(page, "Waiting for the signal: 2 notes, 2 taps, 1 photo.")
    assert axe_troubles(page) == []
    assert count(started, CLOCKS) == clocks
    context.set_offline(False)
    says(page, "All that waited has gone.")
    expect(page.locator("#card-lines")).to_contain_text("And once more")
    expect(page.locator("#photos img").first).to_be_visible()
    assert count(started, PHOTOS) == photos + 1
    assert count(started, CLOCKS) == clocks + 1
    assert count(started, f"{CLOCKS} where ended_at is null") == running
    assert [words for [words] in started.live.rows(NEWEST)] == ["And once more", "Written in the yard"]
    assert page.evaluate(KEPT) == 0


def test_what_waits_outlives_a_reload_goes_from_any_card_and_a_second_arrival_changes_nothing(started, phone):
    _, page = phone
    photos, notes_before = count(started, PHOTOS), count(started, TWICE_SENT)

    def answer_is_lost(route: Route) -> None:
        if route.request.method == "POST":
            route.fetch(max_redirects=0)
            route.abort()
        else:
            route.continue_()

    page.route("**/*", answer_is_lost)
    photographs(page)
    says(page, "Waiting for the signal: 1 photo.")
    notes(page, "Twice sent")
    says(page, "Waiting for the signal: 1 note, 1 photo.")
    page.reload()
    says(page, "Waiting for the signal: 1 note, 1 photo.")
    [here], [other] = started.live.rows(HERE)[0], started.live.rows(ELSEWHERE)[0]
    page.goto(page.url.replace(f"/{here}/", f"/{other}/"))
    says(page, f"Some of it is for card {here}.")
    page.unroute_all(behavior="wait")  # else the one that is on its way is let through and aborted
    says(page, "All that waited has gone.")
    assert count(started, PHOTOS) == photos + 1
    assert count(started, TWICE_SENT) == notes_before + 1
    assert page.evaluate(KEPT) == 0


def test_what_is_refused_stays_on_the_page_until_it_is_mended(started, phone):
    context, page = phone
    context.set_offline(True)
    page.locator("#add-reading > summary").tap()
    page.locator("#add-reading").get_by_label("What was read").select_option("")
    page.locator("#add-reading").get_by_label("In your own words").fill("Plug gap of the waiting one")
    taps(page, "Write it on the card")
    notes(page, "After the refused one")
    context.set_offline(False)
    says(page, "Refused, to be mended: 1, at the top of this page.")
    expect(page.locator("#card-lines")).to_contain_text("After the refused one")
    expect(page.locator("#refused li")).to_contain_text("a value as found, one as left, or both")
    assert axe_troubles(page) == []
    assert scrolls_sideways(page) == []
    page.reload()
    taps(page, "Put it back in the form")
    page.locator("#add-reading").get_by_label("As found").fill("0.9")
    taps(page, "Write it on the card")
    expect(page.locator("#card-lines")).to_contain_text("Plug gap of the waiting one")
    assert page.evaluate(KEPT) == 0
