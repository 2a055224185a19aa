"""On a phone: few presses from log-in to each usual task, the next action at hand, no focus hidden behind it."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Locator, Page

from tests.browser.conftest import Started
from tests.browser.tasks_by_role import FAILED, NO_TIME, RUNNING, TASKS

pytestmark = pytest.mark.long(minutes=2)

PHONE = {"width": 390, "height": 844}
MOST_PAGES = 3
FOOT = ".foot-act"
_HIDDEN_FOCUS = """() => {
  const e = document.activeElement, foot = document.querySelector(".foot-act");
  if (!foot || foot.contains(e) || e === document.body) return "";
  const box = e.getBoundingClientRect(), bar = foot.getBoundingClientRect();
  const isCovered = box.top >= bar.top && box.bottom <= bar.bottom + 1;
  return isCovered ? e.outerHTML.slice(0, 100) : "";
}"""


@pytest.fixture(scope="module")
def pages(started: Started) -> Iterator[dict[str, Page]]:
    """A phone of each role."""
    opened = {}
    for role in TASKS:
        context = started.browser.new_context(viewport=PHONE, has_touch=True)
        started.watch.over(context)
        started.logs_in(context, role)
        opened[role] = context.new_page()
    yield opened
    for page in opened.values():
        page.context.close()


def found(page: Page, press: str) -> Locator:
    """By what it says; one with a dot, a blank or a tag's name alone is looked for as a selector."""
    if press.startswith(("main ", "ul.")) or press == "h1":
        return page.locator(press).first
    within, _, words = press.rpartition(" >> ")
    place = page.locator(within) if within else page
    return place.locator("a, button, summary").filter(has_text=words, visible=True).first


@pytest.mark.parametrize(("role", "task"), [(role, task) for role, tasks in TASKS.items() for task in tasks])
def test_a_usual_task_is_at_most_three_pages_from_log_in(
    role: str, task: str, pages, started: Started, record_property
):
    page, opened, taps = pages[role], 1, 0
    page.goto(f"{started.live.base_url}/day/")
    *presses, last = TASKS[role][task]
    for press in presses:
        before = page.url
        found(page, press).click()
        page.wait_for_load_state()
        taps, opened = taps + 1, opened + (page.url != before)
    wanted = found(page, last)
    wanted.wait_for()
    record_property("pages and taps", f"{role} | {task} | {opened} | {taps + (last != 'h1')}")
    assert opened - 1 <= MOST_PAGES


@pytest.mark.parametrize(
    ("role", "path"),
    [
        ("mechanic", f"/visits/{RUNNING}/card/"),
        ("mechanic", f"/visits/{RUNNING}/"),
        ("desk", f"/visits/{NO_TIME}/"),
        ("desk", f"/visits/{RUNNING + 2}/take-in/"),
        ("boss", f"/visits/{RUNNING + 3}/findings/"),
        ("mechanic", f"/visits/{FAILED}/gate/"),
    ],
)
def test_the_next_action_stays_at_the_foot_and_hides_nothing_that_has_the_focus(role, path, pages, started: Started):
    page = pages[role]
    page.goto(started.live.base_url + path)
    if path.endswith("/gate/"):
        page.get_by_role("button", name="Do the gate again").click()
        page.get_by_role("heading", name="At the bench").wait_for()
    act = page.locator(FOOT).first
    for to in ("0", "document.body.scrollHeight / 2", "document.body.scrollHeight"):
        page.evaluate(f"() => window.scrollTo(0, {to})")
        box = act.bounding_box()
        assert box["y"] >= PHONE["height"] * 2 / 3
        assert box["y"] + box["height"] <= PHONE["height"] + 1
        assert page.locator(f"{FOOT} :is(a, button)").first.bounding_box()["height"] >= 56
    last = page.locator(".foot").bounding_box()
    assert last["y"] + last["height"] <= act.bounding_box()["y"] + 1, "the page ends above it"
    page.evaluate("() => window.scrollTo(0, 0)")
    hidden = set()
    for _ in range(page.locator("a[href], button, input, select, textarea, summary").count()):
        page.keyboard.press("Tab")
        hidden.add(page.evaluate(_HIDDEN_FOCUS))
    assert hidden == {""}
