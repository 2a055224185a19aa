"""The front page's first words on slow 3G: `python -m tests.bench.first_words tests/bench/first_words.md`."""

from __future__ import annotations

import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from typing import Any

from playwright.sync_api import Browser, Request, sync_playwright

from tests.browser.chromium import CHROMIUM, QUIET
from tests.browser.first_visit import PHONE, SLOW_3G
from tests.servers import live_tickover

TURNS = 9
AIM_S = 2.0
HEAD = """# The front page's first words on slow 3G

Made by `make bench`. Headless Chromium of a phone's size, nothing in its cache, {latency} ms for each answer to begin
and {kbit} kbit/s, as its own emulation does it (Network.emulateNetworkConditions; the figures are those of its setting
of a slow 3G network, from memory). *First words*: first contentful paint, of the page's own clock (W3C Paint Timing).
*Bare* is one document without style, letters or script, of as many bytes as came in for the front page, its words
after them. In turn, in one run; median of {turns}. Aim: {aim:g} s.

| | bytes | requests | first words, s | slowest, s |
|---|---|---|---|---|
"""
WORDS = "<p>First words.</p>"
PAINTED_MS = """() => new Promise(done => {
  const found = performance.getEntriesByName("first-contentful-paint");
  if (found.length) return done(found[0].startTime);
  new PerformanceObserver(list => list.getEntriesByName("first-contentful-paint").forEach(e => done(e.startTime)))
    .observe({type: "paint", buffered: true});
})"""


class _Bare(BaseHTTPRequestHandler):
    protocol_version = "HTTP/1.1"
    many_bytes = 0

    def do_GET(self) -> None:  # http.server's own name
        body = f"<!doctype html><title>Bare</title>{'<!---->' * (self.many_bytes // 7)}{WORDS}".encode()
        self.send_response(200)
        self.send_header("Content-Type", "text/html")
        self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        self.wfile.write(body)

    def log_message(self, *_: Any) -> None: ...


@contextmanager
def bare_page(many_bytes: int) -> Iterator[str]:
    _Bare.many_bytes = many_bytes
    server = ThreadingHTTPServer(("127.0.0.1", 0), _Bare)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    try:
        yield f"http://127.0.0.1:{server.server_port}/"
    finally:
        server.shutdown()
        server.server_close()


def visited(browser: Browser, address: str) -> tuple[float, list[int]]:
    """Until its first words, in s, and the bytes of each answer that came in."""
    came: list[Request] = []
    with browser.new_context(viewport=PHONE) as window:
        page = window.new_page()
        page.on("requestfinished", lambda request: came.append(request))
        window.new_cdp_session(page).send("Network.emulateNetworkConditions", SLOW_3G)
        page.goto(address, wait_until="networkidle")
        took_s = page.evaluate(PAINTED_MS) / 1000
        sizes = [request.sizes() for request in came]
    return took_s, [size["responseBodySize"] + size["responseHeadersSize"] for size in sizes]


def _row(name: str, sizes: list[int], took_s: list[float]) -> str:
    return f"| {name} | {sum(sizes):,} | {len(sizes)} | {median(took_s):.2f} | {max(took_s):.2f} |\n"


def main() -> None:
    with TemporaryDirectory() as data, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=[f"--{flag}" for flag in QUIET])
        with live_tickover(Path(data), demo="first", part="web") as live:
            _, sizes = visited(browser, live.base_url + "/")
            with bare_page(sum(sizes)) as bare:
                turns = [(visited(browser, live.base_url + "/"), visited(browser, bare)) for _ in range(TURNS)]
    ours_s, bare_s = [ours for (ours, _), _ in turns], [bare for _, (bare, _) in turns]
    head = HEAD.format(
        latency=SLOW_3G["latency"], kbit=SLOW_3G["downloadThroughput"] * 8 // 1000, turns=TURNS, aim=AIM_S
    )
    foot = f"\nThe front page takes {median(ours_s) / median(bare_s):.2f} times what the bare one takes.\n"
    rows = _row("front page", sizes, ours_s) + _row("bare", turns[0][1][1], bare_s)
    Path(sys.argv[1]).write_text(head + rows + foot, encoding="utf-8")
    sys.exit(0 if median(ours_s) <= AIM_S else 1)


if __name__ == "__main__":
    main()
