"""How a person works a page: with a pointer, with a thumb, or with the keyboard alone. One story for all of them."""

from __future__ import annotations

from playwright.sync_api import Locator, Page

MOST_TABS = 400  # only so that a test that fails ends


class Hand:
    """With a pointer, or a thumb where the context has touch."""

    def __init__(self, page: Page, base_url: str, *, has_touch: bool = False) -> None:
        self.page, self.base_url, self.has_touch = page, base_url, has_touch

    def goes_to(self, path: str) -> None:
        self.page.goto(self.base_url + path)

    def _press(self, what: Locator) -> None:
        if self.has_touch:
            what.tap()
        else:
            what.click()

    def link(self, name: str, *, within: Locator | None = None) -> None:
        self._press((within or self.page).get_by_role("link", name=name).first)

    def button(self, name: str, *, within: Locator | None = None) -> None:
        self._press((within or self.page).get_by_role("button", name=name).first)

    def opens(self, summary: str) -> None:
        self._press(self.page.locator("summary", has_text=summary).first)

    def types(self, label: str, text: str) -> None:
        self.page.get_by_label(label).first.fill(text)

    def chooses(self, label: str, option: str) -> None:
        self.page.get_by_label(label).first.select_option(label=option)

    def ticks(self, name: str, *, within: Locator | None = None) -> None:
        self._press((within or self.page).get_by_label(name).first)

    @property
    def heading(self) -> str:
        return self.page.locator("h1").inner_text()

    @property
    def words(self) -> str:
        return self.page.locator("main").inner_text()


class KeyboardHand(Hand):
    """With the keyboard alone: Tab to what is wanted, Enter or the space bar, letters."""

    def _reach(self, what: Locator) -> None:
        wanted = what.element_handle()
        for _ in range(MOST_TABS):
            if wanted.evaluate("e => e === document.activeElement"):
                return
            self.page.keyboard.press("Tab")
        raise AssertionError(f"Tab never comes to {what}")

    def _press(self, what: Locator) -> None:
        self._reach(what)
        kind = what.evaluate("e => e.type || e.tagName")
        self.page.keyboard.press("Space" if kind in ("checkbox", "radio") else "Enter")
        self.page.wait_for_load_state()

    def types(self, label: str, text: str) -> None:
        self._reach(self.page.get_by_label(label).first)
        self.page.keyboard.press("Control+a")
        self.page.keyboard.type(text)

    def chooses(self, label: str, option: str) -> None:
        field = self.page.get_by_label(label).first
        self._reach(field)
        self.page.keyboard.type(option)
        assert field.evaluate("e => e.selectedOptions[0].label") == option
