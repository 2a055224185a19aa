"""A started garage with the demo and a browser, both for one file of tests: Playwright's loop must not outlive it."""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, sync_playwright

from jobs.demo.garage import LOG_INS
from tests import servers
from tests.browser.any_hour import load_demo
from tests.browser.chromium import CHROMIUM, QUIET
from tests.browser.hands import Hand
from tests.browser.watch import Watch
from tests.prepared import copied, once

LIMIT_MS = 30_000.0  # ms; generous: several runs may share two cores, and the first picture loads its library
PASSWORDS = {username: password for username, password, *_ in LOG_INS}


class Started:
    """The garage, a browser, and one watch over everything that happens in it."""

    def __init__(self, live: servers.LiveTickover, browser: Browser) -> None:
        self.live, self.browser = live, browser
        self.watch = Watch(live.base_url)

    def addresses(self) -> dict[str, list[str]]:
        return json.loads(self.live.shell("from tests.browser.addresses import printed; printed()"))

    @contextmanager
    def context(self, **choices: object) -> Iterator[BrowserContext]:
        context = self.browser.new_context(**choices)
        context.set_default_timeout(LIMIT_MS)
        self.watch.over(context)
        yield context
        context.close()

    def logs_in(self, context: BrowserContext, name: str) -> None:
        hand = Hand(context.new_page(), self.live.base_url)
        hand.goes_to("/log-in/")
        hand.types("Name", name)
        hand.types("Password", PASSWORDS[name])
        hand.button("Log in")
        assert "log-in" not in hand.page.url, hand.words
        hand.page.close()


@pytest.fixture(scope="session")
def demo_data(prepared_data: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A garage's folder with the demo in it; to be copied."""
    return once(tmp_path_factory, "demo-data", lambda folder: load_demo(copied(prepared_data, folder)))


@pytest.fixture(scope="module")
def started(demo_data: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Started]:
    folder = copied(demo_data, tmp_path_factory.mktemp("garage"))
    with servers.live_tickover(folder) as live, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=[f"--{flag}" for flag in QUIET])
        yield Started(live, browser)
        browser.close()
