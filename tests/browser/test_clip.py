"""The owner's clip in a real browser: recorded with its microphone, chosen as a file, with and without JavaScript."""

from __future__ import annotations

import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import numpy as np
import pytest
from playwright.sync_api import Page, expect

from diagnostics.hearing.decoding.decode import Decoder
from diagnostics.hearing.models.clips import Clip
from tests.browser import rev_out
from tests.browser.chromium import CHROMIUM, QUIET
from tests.browser.conftest import LIMIT_MS, Started
from tests.browser.watch import Watch, axe_troubles, scrolls_sideways

pytestmark = pytest.mark.long(minutes=2)

PHONE = {"viewport": {"width": 390, "height": 844}, "is_mobile": True, "has_touch": True, "device_scale_factor": 2}
DESKTOP = {"viewport": {"width": 1280, "height": 900}}
# Visits of the demo, after those of the year before: may be revved out; must not be; not asked about it yet.
MAY, STOPPED, UNASKED = "may be revved out", "must not be", "not asked about it yet"
HEARD_MS = 60_000.0  # ms, until the worker has heard it; generous, since several runs may share two cores
RECORDED_MS = 40_000.0  # ms; the page itself takes fifteen seconds
IDLES_S = 10.0  # of the sound at the microphone: until the page says to open


_LOOKED_UP = f"""
from diagnostics.reads.rev_out import rev_out_of
from garage.core import states
from garage.models.visits import Visit
from garage.reads import links

for visit in Visit.objects.filter(state__in=states.COMING, arrived_at=None):
    rev_out = rev_out_of(visit)
    named = {STOPPED!r} if rev_out.why_not else {UNASKED!r} if rev_out.ask_first else {MAY!r}
    print(named, links.token(visit, links.SHEET), sep="|")
"""


@pytest.fixture(scope="module")
def paths(started: Started) -> dict[str, str]:
    """Of the clip page, by how the visit stands; the demo has one of each."""
    pairs = [line.split("|") for line in started.live.shell(_LOOKED_UP).splitlines() if "|" in line]
    return {named: f"/sheet/{token}/clip/" for named, token in pairs}


@pytest.fixture(autouse=True)
def no_clip_yet(started: Started) -> None:
    """Whoever has sent one that was heard is not asked for another."""
    started.live.rows("delete from diagnostics_clip")


@contextmanager
def phone(started: Started, folder: Path, heard: np.ndarray | None, **choices: object) -> Iterator[Page]:
    """A page of a browser whose microphone hears that, over and over; None: a browser with no microphone."""
    flags = [f"--{flag}" for flag in QUIET]
    if heard is not None:
        wav = rev_out.write_wav(folder / "heard.wav", heard)
        flags += ["--use-fake-device-for-media-stream", "--use-fake-ui-for-media-stream"]
        flags.append(f"--use-file-for-fake-audio-capture={wav}")
    browser = started.browser.browser_type.launch(executable_path=CHROMIUM, args=flags)
    context = browser.new_context(**(choices or PHONE))
    context.set_default_timeout(LIMIT_MS)
    watch = Watch(started.live.base_url).over(context)
    page = context.new_page()
    page.watch = watch
    yield page
    browser.close()


def button(page: Page, name: str):
    return page.get_by_role("button", name=name)


def troubles(page: Page) -> dict[str, list[str]]:
    """At the width it has and at 320 px."""
    size = page.viewport_size
    found = {"axe": axe_troubles(page), "sideways": scrolls_sideways(page), "axe at 320 px": axe_troubles(page)}
    page.set_viewport_size(size)
    return {what: each for what, each in found.items() if each}


def records(page: Page) -> None:
    button(page, "record it here").tap()
    expect(page.get_by_role("status")).to_have_text("Good")
    button(page, "Start").tap()
    expect(button(page, "Send it")).to_be_visible(timeout=RECORDED_MS)


def heard_words(page: Page) -> str:
    """The page looks again by itself, until it says what was heard."""
    expect(page.locator("#clips")).not_to_contain_text("Listening to your clip", timeout=HEARD_MS)
    return page.locator("#clips").inner_text()


def test_a_rev_out_is_recorded_played_back_sent_and_analysed(started: Started, paths, tmp_path):
    with phone(started, tmp_path, rev_out.sound("breaks", idles_s=IDLES_S)) as page:
        page.goto(started.live.base_url + paths[MAY])
        assert troubles(page) == {}
        button(page, "record it here").tap()
        expect(page.get_by_role("status")).to_have_text("Good")
        assert troubles(page) == {}
        button(page, "Start").tap()
        told = page.get_by_role("dialog")
        for words in ("Go to the throttle", "Let it tick over", "Open fully", "Hold", "Shut it"):
            expect(told.locator("[aria-live]")).to_have_text(words, timeout=LIMIT_MS)
        expect(button(page, "Send it")).to_be_visible(timeout=RECORDED_MS)
        expect(page.get_by_text("The level was good")).to_be_visible()
        assert page.evaluate("document.getElementById('listen').duration") == pytest.approx(10, abs=1.5)
        assert troubles(page) == {}
        with page.expect_navigation():
            button(page, "Send it").tap()
        expect(page.get_by_role("heading", level=1)).to_have_text("The sound you sent")
        heard_words(page)
        assert troubles(page) == {}
        assert page.watch.complaints == []
    assert_decodable(started)


def assert_decodable(started: Started) -> None:
    """What arrived is sound of ten seconds to our own decoder, also as it is kept once it was heard."""
    latest, give_up_s = "select file, state from diagnostics_clip order by id desc limit 1", time.monotonic() + 60
    while (row := started.live.rows(latest)[0])[1] in (Clip.WAITS, Clip.WORKING):
        assert time.monotonic() < give_up_s
        time.sleep(0.1)
    with Decoder() as decoder:
        samples = decoder.samples(str(started.live.data / "media" / row[0]))
    assert len(samples) / 8000 == pytest.approx(10, abs=1.5)
    assert np.std(samples) > 0.005


def test_a_failed_upload_is_sent_again_without_recording_again(started: Started, paths, tmp_path):
    with phone(started, tmp_path, rev_out.sound("healthy", idles_s=IDLES_S)) as page:
        page.goto(started.live.base_url + paths[MAY])
        records(page)
        page.route("**/clip/", lambda route: route.abort() if route.request.method == "POST" else route.continue_())
        button(page, "Send it").tap()
        expect(page.get_by_role("alert")).to_contain_text("the connection broke. Nothing is lost")
        assert troubles(page) == {}
        page.unroute("**/clip/")
        with page.expect_navigation():
            button(page, "Try again").tap()
        expect(page.get_by_role("heading", level=1)).to_have_text("The sound you sent")
        assert [each for each in page.watch.complaints if "ERR_FAILED" not in each] == []
    assert_decodable(started)


@pytest.mark.parametrize(("level", "word"), [(0.03, "Too far"), (1.0, "Good"), (20.0, "Too loud"), (0.0, "nothing")])
def test_the_level_is_given_in_words(level, word, started: Started, paths, tmp_path):
    """20 times the level is cut off at full scale by any microphone."""
    with phone(started, tmp_path, level * rev_out.sound("healthy", idles_s=IDLES_S)) as page:
        page.goto(started.live.base_url + paths[MAY])
        button(page, "record it here").tap()
        expect(page.get_by_role("status")).to_contain_text(word)


def test_a_recording_stopped_half_way_is_thrown_away_and_the_microphone_let_go(started: Started, paths, tmp_path):
    with phone(started, tmp_path, rev_out.sound("healthy", idles_s=IDLES_S), **DESKTOP) as page:
        page.goto(started.live.base_url + paths[MAY])
        for name in ("record it here", "Start"):
            button(page, name).focus()
            page.keyboard.press("Enter")
        expect(page.get_by_role("dialog")).to_contain_text("Let it tick over", timeout=LIMIT_MS)
        page.keyboard.press("Escape")
        expect(page.get_by_role("dialog")).to_be_hidden()
        expect(button(page, "record it here")).to_be_focused()
        expect(button(page, "Send it")).to_be_hidden()
        assert page.watch.complaints == []


def test_without_a_microphone_it_says_so_and_offers_a_file(started: Started, paths, tmp_path):
    with phone(started, tmp_path, None) as page:
        page.goto(started.live.base_url + paths[MAY])
        button(page, "record it here").tap()
        expect(page.get_by_role("alert")).to_contain_text("Choose a file below")
        expect(button(page, "Send this file")).to_be_visible()


INSECURE = "http://tickover.example"  # as a garage's own network serves it: no https, not this machine


def test_by_plain_http_the_page_says_why_only_a_file_can_be_sent(started: Started, paths):
    with started.context(**PHONE) as context:
        page = context.new_page()
        base = started.live.base_url
        page.route(
            f"{INSECURE}/**", lambda to: to.fulfill(response=to.fetch(url=to.request.url.replace(INSECURE, base)))
        )
        page.goto(INSECURE + paths[MAY])
        assert not page.evaluate("window.isSecureContext")
        expect(page.get_by_text("This page is not on https")).to_be_visible()
        assert page.get_by_text("phone’s own recorder").locator("visible=true").count() == 1
        assert button(page, "record it here").count() == 0
        expect(button(page, "Send this file")).to_be_visible()
        assert troubles(page) == {}


def test_without_javascript_the_page_says_why_only_a_file_can_be_sent(started: Started, paths):
    with started.context(**PHONE, java_script_enabled=False) as context:
        page = context.new_page()
        page.goto(started.live.base_url + paths[MAY])
        expect(page.get_by_text("This page can’t record without JavaScript")).to_be_visible()
        expect(button(page, "record it here")).to_be_hidden()


def test_a_file_over_the_limit_gets_its_sentence_without_javascript_too(started: Started, paths, tmp_path):
    with open(tmp_path / "long.wav", "wb") as file:  # sparse: takes no room on the disk
        file.truncate(140 * 10**6)
    with started.context(**PHONE, java_script_enabled=False) as context:
        page = context.new_page()
        page.goto(started.live.base_url + paths[MAY])
        expect(page.get_by_text("of at most 3 minutes and 100 MB")).to_be_visible()
        page.get_by_label("The clip").set_input_files(tmp_path / "long.wav")
        button(page, "Send this file").click()
        expect(page.get_by_role("alert")).to_contain_text("The clip is 140 MB; allowed is")


@pytest.mark.parametrize("has_script", [True, False])
def test_a_file_is_sent_heard_and_deleted(has_script, started: Started, paths):
    with started.context(**PHONE, java_script_enabled=has_script) as context:
        page = context.new_page()
        page.goto(started.live.base_url + paths[STOPPED])
        assert "don’t rev it out" in page.locator("main").inner_text()
        assert button(page, "record it here").count() == 0
        page.get_by_label("The clip").set_input_files(
            {"name": "rev-out.m4a", "mimeType": "audio/mp4", "buffer": rev_out.clip("breaks")}
        )
        with page.expect_navigation():
            button(page, "Send this file").click()
        expect(page.get_by_role("heading", level=1)).to_have_text("The sound you sent")
        for _ in range(0 if has_script else int(HEARD_MS / 500)):  # without it the owner looks again
            page.wait_for_timeout(500)
            page.reload()
            if "Listening to your clip" not in page.locator("#clips").inner_text():
                break
        expect(page.locator("#clips")).to_contain_text("it hits a ceiling at about", timeout=HEARD_MS)
        drawn = "async image => { await image.decode(); return image.naturalWidth; }"
        assert page.locator("#clips img").evaluate(drawn) > 0
        page.locator("summary", has_text="Delete it").first.click()
        with page.expect_navigation():
            button(page, "Delete this clip").first.click()
        expect(page.get_by_role("heading", level=1)).to_have_text("The sound of the rev-out")


def test_nobody_is_sent_to_the_rev_out_before_its_questions(started: Started, paths):
    with started.context(**PHONE) as context:
        page = context.new_page()
        page.goto(started.live.base_url + paths[UNASKED])
        assert button(page, "record it here").count() == 0
        page.get_by_role("link", name="Answer that first").click()
        expect(page.get_by_role("heading", level=1)).to_contain_text("changed")


@pytest.mark.parametrize("moves", [True, False])
def test_a_marker_goes_along_with_a_taught_sound_and_one_plays_at_a_time(moves, started: Started):
    motion = "no-preference" if moves else "reduce"
    with started.context(**PHONE, reduced_motion=motion) as context:
        page = context.new_page()
        page.goto(started.live.base_url + "/guides/hear-the-difference/")
        marker, players = page.locator(".now").first, page.locator("audio")
        players.nth(0).evaluate("player => player.play()")
        page.wait_for_timeout(600)
        assert marker.is_visible() == moves
        players.nth(1).evaluate("player => player.play()")
        expect(marker).to_be_visible()  # the first is paused: the marker stands where it was heard last
        assert players.nth(0).evaluate("player => player.paused")
        at_s = players.nth(0).evaluate("player => player.currentTime")
        assert marker.evaluate("now => parseFloat(now.style.left)") == pytest.approx(100 * at_s / 5.7, abs=0.1)
