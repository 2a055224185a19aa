"""Looks over a browser's shoulder: what the console says, what is asked for and where, what is sent and how it ends."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlsplit

import axe_playwright_python
from django.urls import Resolver404, resolve
from playwright.sync_api import BrowserContext, ConsoleMessage, Page, Request, Response

AXE = (Path(axe_playwright_python.__file__).parent / "axe.min.js").read_text(encoding="utf-8")
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
NARROW_PX = 320  # WCAG 2.2, 1.4.10 Reflow: 320 CSS pixels without scrolling sideways
EXPECTED_REFUSALS = {404, 409, 410, 422}  # pages that say no, on purpose; the browser notes the status in its console


@dataclass
class Watch:
    """complaints: everything that a strict page must not cause. posted: names of the addresses posted to, accepted."""

    base_url: str
    complaints: list[str] = field(default_factory=list)
    posted: set[str] = field(default_factory=set)
    bytes_in: int = 0

    def over(self, context: BrowserContext) -> Watch:
        context.on("console", self._console)
        context.on("weberror", lambda error: self.complaints.append(f"script error: {error.error}"))
        context.on("request", self._request)
        context.on("response", self._response)
        return self

    def _console(self, message: ConsoleMessage) -> None:
        refused = any(f"status of {status}" in message.text for status in EXPECTED_REFUSALS)
        if not refused:
            self.complaints.append(f"console at {message.page.url if message.page else '?'}: {message.text}")

    def _request(self, request: Request) -> None:
        own = request.url.removeprefix("blob:")  # what a page has made itself, as a recording, is asked of nobody
        if not own.startswith(self.base_url + "/"):
            self.complaints.append(f"asked another place: {request.url}")

    def _response(self, response: Response) -> None:
        request = response.request
        if response.status >= 500 or (response.status >= 400 and response.status not in EXPECTED_REFUSALS):
            self.complaints.append(f"{request.method} {request.url} answered {response.status}")
        if request.method == "POST" and response.status < 400:
            self.posted.add(name_of(request.url))


def name_of(url: str) -> str:
    try:
        return resolve(urlsplit(url).path).url_name or ""
    except Resolver404:
        return ""


def axe_troubles(page: Page) -> list[str]:
    """What axe-core finds on the page as it stands. Its source goes in once, by the debugger, which no CSP stops."""
    if not page.evaluate("() => Boolean(window.axe)"):
        page.evaluate(AXE)
    found = page.evaluate(
        "rules => axe.run(document, {runOnly: {type: 'tag', values: rules}, resultTypes: ['violations']})", RULES
    )
    return [
        f"{trouble['id']}: {node['html'][:160]} ({node['failureSummary'][:200]})"
        for trouble in found["violations"]
        for node in trouble["nodes"]
    ]


def scrolls_sideways(page: Page) -> list[str]:
    """The widest things of a page that is wider than a narrow phone."""
    page.set_viewport_size({"width": NARROW_PX, "height": 700})
    return page.evaluate(
        """narrow => document.documentElement.scrollWidth <= narrow ? [] : [...document.querySelectorAll("body *")]
            .filter(e => e.getBoundingClientRect().right > narrow + 1 && !e.closest(".unseen, .skip, .scroll"))
            .map(e => `${e.tagName}.${e.className} to ${Math.round(e.getBoundingClientRect().right)}px: ` +
                e.outerHTML.slice(0, 90)).concat([`page ${document.documentElement.scrollWidth}px wide`])""",
        NARROW_PX,
    )


_REACHABLE = """() => {
  const shown = e => e.checkVisibility({visibilityProperty: true}) && !e.disabled && e.tabIndex >= 0;
  const groups = new Set();
  return [...document.querySelectorAll("a[href], button, input, select, textarea, summary, [tabindex]")].filter(e => {
    if (!shown(e) || e.type === "hidden") return false;
    if (e.type !== "radio") return true;
    const group = (e.form ? [...document.forms].indexOf(e.form) : "") + e.name;
    if (groups.has(group)) return false;
    groups.add(group);
    return true;
  }).length;
}"""
# Looks where the focus is each time that the Tab key comes up again: by then the browser has moved it.
_LOOK_AT_EACH_TAB = """() => {
  window.reached = new Map();
  window.hasLeft = false;
  window.addEventListener("keyup", pressed => {
    if (pressed.key !== "Tab" || window.hasLeft) return;
    const e = document.activeElement;
    window.hasLeft = !e || e === document.body;
    if (window.hasLeft) return;
    const style = getComputedStyle(e);
    const box = e.getBoundingClientRect();
    const isThere = box.width > 1 && box.height > 1;
    const isShown = isThere && style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2;
    window.reached.set(e, window.reached.get(e) || isShown);
  }, true);
  document.activeElement.blur();
  window.scrollTo(0, 0);
}"""
_SEEN = """() => [...window.reached].map(([e, isShown]) => [isShown, e.outerHTML.slice(0, 120)])"""
TABS_BETWEEN_LOOKS = 8  # whether the focus has left the page need not be asked after each
STOPS_IN_ONE = 6  # a date field has a stop for each of its parts, and shows itself which of them has the focus


def not_reached_by_keyboard(page: Page) -> list[str]:
    """Tabs once through the page: everything that can be used is reached, and it shows where one is (WCAG 2.4.7)."""
    wanted = page.evaluate(_REACHABLE)
    page.evaluate(_LOOK_AT_EACH_TAB)
    for pressed in range((wanted + 1) * STOPS_IN_ONE):
        page.keyboard.press("Tab")
        if pressed % TABS_BETWEEN_LOOKS == 0 and page.evaluate("() => window.hasLeft"):
            break
    reached = page.evaluate(_SEEN)
    troubles = [f"focus not shown: {what}" for is_shown, what in reached if not is_shown]
    if len(reached) < wanted:
        troubles.append(f"only {len(reached)} of {wanted} reached by Tab")
    return troubles


TARGET_PX = 44  # WCAG 2.2, 2.5.5 Target Size (Enhanced)
# A link in a sentence is excepted there; what a label belongs to is as large as its label, which can be pressed too.
_SMALL_TARGETS = r"""least => {
  const letters = e => e.textContent.replace(/\s+/g, "").length;
  const isInText = e => {
    const block = e.closest("p, li, dd, dt, td, th, label, legend, h1, h2, h3, summary, figcaption, caption, div");
    if (getComputedStyle(e).display !== "inline" || !block) return false;
    const own = [...block.querySelectorAll("a, button")].reduce((sum, each) => sum + letters(each), 0);
    return letters(block) > own + 1;
  };
  return [...document.querySelectorAll("a[href], button, input:not([type=hidden]), select, textarea, summary")]
    .filter(e => {
      if (e.disabled || !e.checkVisibility({visibilityProperty: true}) || isInText(e)) return false;
      const label = /checkbox|radio/.test(e.type) && e.labels[0];
      const [own, words] = [e, label || e].map(each => each.getBoundingClientRect());
      const [width, height] = ["width", "height"].map(side => Math.max(own[side], words[side]));
      return own.right > 0 && own.width > 1 && (width < least - 0.5 || height < least - 0.5);
    })
    .map(e => `${e.outerHTML.slice(0, 110)} ${e.getBoundingClientRect().width}×${e.getBoundingClientRect().height}`);
}"""


def small_targets(page: Page) -> list[str]:
    """What a thumb can press on a phone that is smaller than it should be, each way."""
    page.set_viewport_size({"width": 390, "height": 844})
    return page.evaluate(_SMALL_TARGETS, TARGET_PX)
