"""How a person works a page: with a pointer, with a thumb, or with the keyboard alone. One story for all of them."""

from __future__ import annotations

import re

from playwright.sync_api import Locator, Page

MOST_TABS = 400  # only so that a test that fails ends
# How many Tabs at least lead from where the focus is to the stop before the wanted one, none where that comes first. A
# group of radios is passed with one Tab; one less than counted, in case the wanted radio is not the first of its group.
_STOPS_BETWEEN = """wanted => {
  const groups = new Set();
  const stops = [...document.querySelectorAll("a[href], button, input, select, textarea, summary")].filter(e => {
    if (e === wanted || e === document.activeElement) return true;
    if (!e.checkVisibility({visibilityProperty: true}) || e.disabled || e.tabIndex < 0) return false;
    if (e.type !== "radio") return true;
    const group = (e.form ? [...document.forms].indexOf(e.form) : "") + e.name;
    return groups.has(group) ? false : Boolean(groups.add(group));
  });
  return Math.max(0, stops.indexOf(wanted) - stops.indexOf(document.activeElement) - 2);
}"""


class Hand:
    """With a pointer, or a thumb where the context has touch."""

    def __init__(self, page: Page, base_url: str, *, has_touch: bool = False) -> None:
        self.page, self.base_url, self.has_touch = page, base_url, has_touch

    def goes_to(self, path: str) -> None:
        self.page.goto(self.base_url + path)

    def presses(self, what: Locator) -> None:
        """A link, or a button that sends a form: another page comes."""
        with self.page.expect_navigation():
            self._touches(what)

    def link(self, name: str) -> None:
        self.presses(self.page.get_by_role("link", name=name).first)

    def button(self, name: str | re.Pattern[str], *, within: Locator | None = None) -> None:
        """Another page comes, or its answer comes into this one where the form says so and there is a script."""
        what = (within or self.page).get_by_role("button", name=name).first
        if not what.evaluate("e => Boolean(window.htmx && e.form?.hasAttribute('hx-post'))"):
            self.presses(what)
            return
        with self.page.expect_response(lambda answer: answer.request.method == "POST"):
            self._touches(what)
        self.page.locator(".htmx-request, .htmx-swapping, .htmx-settling").first.wait_for(state="detached")

    def swaps(self, name: str) -> None:
        """A button whose answer comes into the page: the script puts it there."""
        with self.page.expect_response(lambda answer: answer.request.headers.get("hx-request") == "true"):
            self._touches(self.page.get_by_role("button", name=name).first)

    def taps(self, name: str, *, until: str) -> None:
        """A button whose answer comes into the page where there is a script, and as a page where there is none."""
        with self.page.expect_response(lambda answer: answer.request.method == "POST"):
            self._touches(self.page.get_by_role("button", name=name).first)
        self.page.get_by_text(until, exact=True).first.wait_for()

    def answers(self, button: Locator, *, until: Locator) -> None:
        """As taps: what shows that the answer has come is until."""
        with self.page.expect_response(lambda answer: answer.request.method == "POST"):
            self._touches(button)
        until.wait_for()

    def opens(self, summary: str) -> None:
        self._touches(self.page.locator("summary", has_text=summary).first)

    def ticks(self, name: str, *, within: Locator | None = None) -> None:
        self._touches((within or self.page).get_by_label(name).first)

    def types(self, label: str, text: str, *, within: Locator | None = None) -> None:
        (within or self.page).get_by_label(label).first.fill(text)

    def chooses(self, label: str, option: str, *, within: Locator | None = None) -> None:
        (within or self.page).get_by_label(label).first.select_option(label=option)

    def _touches(self, what: Locator) -> None:
        if self.has_touch:
            what.tap()
        else:
            what.click()

    @property
    def heading(self) -> str:
        return self.page.locator("h1").inner_text()

    @property
    def words(self) -> str:
        return self.page.locator("main").inner_text().replace("\u00a0", " ")


class KeyboardHand(Hand):
    """With the keyboard alone: Tab to what is wanted, Enter or the space bar, letters."""

    def presses(self, what: Locator) -> None:
        self._reaches(what)
        with self.page.expect_navigation():
            self.page.keyboard.press("Enter")

    def types(self, label: str, text: str, *, within: Locator | None = None) -> None:
        self._reaches((within or self.page).get_by_label(label).first)
        self.page.keyboard.press("Control+a")
        self.page.keyboard.type(text)

    def chooses(self, label: str, option: str, *, within: Locator | None = None) -> None:
        field = (within or self.page).get_by_label(label).first
        self._reaches(field)
        self.page.keyboard.type(option)
        assert field.evaluate("e => e.selectedOptions[0].label") == option

    def _touches(self, what: Locator) -> None:
        self._reaches(what)
        self.page.keyboard.press("Enter" if what.evaluate("e => e.tagName") == "SUMMARY" else "Space")

    def _reaches(self, what: Locator) -> None:
        """Asking the page where the focus is costs more than a Tab, so it is asked once the wanted one may be next."""
        wanted = what.element_handle()
        for _ in range(wanted.evaluate(_STOPS_BETWEEN)):
            self.page.keyboard.press("Tab")
        for _ in range(MOST_TABS):
            if wanted.evaluate("e => e === document.activeElement"):
                return
            self.page.keyboard.press("Tab")
        raise AssertionError(f"Tab never comes to {what}")
