"""What a first visit to a page costs: the bytes that come in, and how far what one reads jumps meanwhile."""

from __future__ import annotations

import contextlib
from typing import TYPE_CHECKING
from urllib.parse import urlsplit

from playwright.sync_api import Page, Request

if TYPE_CHECKING:
    from tests.browser.conftest import Started

DESKTOP = {"width": 1280, "height": 900}
PHONE = {"width": 390, "height": 844}
# Chromium's own setting of a slow 3G network, from memory: 400 ms, 400 kbit/s.
SLOW_3G = {"offline": False, "latency": 400, "downloadThroughput": 50_000, "uploadThroughput": 50_000}
# Layout Instability API (W3C draft): the sum over all shifts that no press has caused.
WATCH_SHIFTS = """
window.shifted = 0;
new PerformanceObserver(list => list.getEntries().forEach(e => { if (!e.hadRecentInput) window.shifted += e.value; }))
  .observe({type: "layout-shift", buffered: true});
"""
# Letters are there, and two pictures of the page have been drawn since: the observer has heard of what moved.
UNTIL_DRAWN = """document.fonts.ready.then(() => new Promise(done =>
  requestAnimationFrame(() => requestAnimationFrame(() => setTimeout(done, 200)))))"""


def bytes_of_first_visits(started: Started, paths: list[str]) -> dict[str, int]:
    """What comes in over the network on a first visit to each path; they wait side by side until nothing more comes."""
    weights = {}
    with contextlib.ExitStack() as windows:
        opened = {path: first_visit(started, windows, path) for path in paths}
        for path, (page, came) in opened.items():
            page.wait_for_load_state("networkidle")
            page.evaluate("document.fonts.ready.then(() => 0)")
            sizes = {urlsplit(request.url).path: request.sizes() for request in came}
            weights[path] = sum(size["responseBodySize"] + size["responseHeadersSize"] for size in sizes.values())
            assert len(sizes) > 4, sizes  # style and letters came too
    return weights


def first_visit(started: Started, windows: contextlib.ExitStack, path: str) -> tuple[Page, list[Request]]:
    """The page in a window of its own, and its requests as they are finished."""
    came: list[Request] = []
    window = windows.enter_context(started.context(viewport=DESKTOP))
    window.on("requestfinished", lambda request: came.append(request))
    page = window.new_page()
    page.goto(started.live.base_url + path, wait_until="commit")
    return page, came


def shifts_on_a_slow_network(started: Started, path: str, viewport: dict[str, int], script: str = "") -> float:
    """How far the page's parts jump on a first visit, as a share of the screen; 0 where nothing moves.

    script: run as soon as the page is there, to move something on purpose.
    """
    with started.context(viewport=viewport) as window:
        page = window.new_page()
        page.add_init_script(WATCH_SHIFTS)
        window.new_cdp_session(page).send("Network.emulateNetworkConditions", SLOW_3G)
        page.goto(started.live.base_url + path, wait_until="load")
        page.evaluate(UNTIL_DRAWN)
        page.evaluate(f"() => {{ {script} }}")
        page.evaluate(UNTIL_DRAWN)
        return float(page.evaluate("window.shifted"))
