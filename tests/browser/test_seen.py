"""What is drawn is seen by whoever has set colours of their own, and nothing is told by colour alone."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Page

from tests.browser.conftest import Started
from tests.browser.tasks_by_role import ASKED, RUNNING

pytestmark = pytest.mark.long

LEAST = 3.0  # WCAG 2.2, 1.4.11: what is needed to understand a drawing, against what lies beside it
# The contrast of two colours as WCAG 2.2 has it, by the luminance alone: so they look to who sees no colour.
CONTRAST = """
  const parts = colour => colour.match(/[\\d.]+/g).map(Number);
  const light = colour => {
    const [r, g, b] = parts(colour).map(c => c / 255).map(c => c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4);
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const contrast = (one, other) => {
    const [low, high] = [light(one), light(other)].sort((a, b) => a - b);
    return (high + 0.05) / (low + 0.05);
  };
  const ground = getComputedStyle(document.body).backgroundColor;
"""
UNSEEN = (
    "least => {"
    + CONTRAST
    + """
  const isSeen = colour => colour.startsWith("rgb") && parts(colour)[3] !== 0 && contrast(colour, ground) >= least;
  const places = "path, rect:not(.rest rect), .now-rule, text:not(.halo text), .week-strip line";
  const drawn = [...document.querySelectorAll(places)].filter(e => e.closest(".day-threads, .week-strip"));
  const inked = drawn.filter(e => e.checkVisibility()).filter(e => {
    const style = getComputedStyle(e);
    return !isSeen(style.fill) && !isSeen(style.stroke);
  });
  const pressed = [...document.querySelectorAll(".btn, button:not(.plain)")].filter(e => e.checkVisibility())
    .filter(e => {
      const style = getComputedStyle(e);
      return contrast(style.color, style.backgroundColor) < 4.5 && parts(style.backgroundColor)[3] !== 0
        || !isSeen(style.borderTopColor);
    });
  const pictures = [...document.querySelectorAll("img.drawing, img.plot, .trace img, .pointed-at svg")].filter(e => {
    const style = getComputedStyle(e), day = style.filter === "none";
    return !(style.backgroundColor === "rgb(251, 248, 241)" && (day || style.filter.startsWith("invert")));
  });
  return [...inked, ...pressed, ...pictures].map(e => e.outerHTML.slice(0, 90));
}"""
)
ALIKE = (
    "least => {"
    + CONTRAST
    + """
  const looks = kind => {
    const bar = document.querySelector(`.day-threads .${kind}-bar`);
    return bar && getComputedStyle(bar);
  };
  const [done, running, planned] = ["done", "running", "planned"].map(looks);
  if (!running || !planned) return ["no bars"];
  const told = [];
  if (contrast(running.fill, planned.fill) < least) told.push("running and planned");
  if (done && contrast(done.fill, running.fill) < 1.5) told.push("done and running");
  if (done && contrast(done.fill, planned.fill) < 1.5) told.push("done and planned");
  const now = document.querySelector(".now-rule");
  if (now && parseFloat(now.getAttribute("stroke-width")) < 3) told.push("now is as thin as an hour");
  if (now && !document.querySelector(".day-threads .now-text")) told.push("now is not said");
  for (const row of document.querySelectorAll(".row.yours"))
    if (!/yours/.test(row.textContent)) told.push(row.textContent);
  for (const row of document.querySelectorAll(".row.over")) {  // grey, and above the line that says now
    const line = [...row.parentElement.children].find(each => /Now\\./.test(each.textContent));
    if (line && !(row.compareDocumentPosition(line) & Node.DOCUMENT_POSITION_FOLLOWING)) told.push(row.textContent);
  }
  return told;
}"""
)
SPOILT = """() => {
  const running = getComputedStyle(document.querySelector(".running-bar")).fill;
  for (const bar of document.querySelectorAll(".planned-bar")) bar.style.fill = running;
}"""
PLACES = ("/day/", f"/visits/{ASKED}/findings/", "/guides/hear-the-difference/", f"/visits/{RUNNING}/card/", "/week/")


@pytest.fixture(scope="module")
def page(started: Started) -> Iterator[Page]:
    with started.context(viewport={"width": 1280, "height": 900}) as context:
        started.logs_in(context, "boss")
        yield context.new_page()


@pytest.mark.parametrize(
    "asked",
    [
        {"forced_colors": "active", "color_scheme": "dark"},
        {"forced_colors": "active", "color_scheme": "light"},
        {"forced_colors": "none", "color_scheme": "dark"},
        {"forced_colors": "none", "color_scheme": "light", "contrast": "more"},
    ],
    ids=["own colours on black", "own colours on white", "by night", "more contrast"],
)
def test_what_is_drawn_and_pressed_stands_out_from_its_ground(asked, page: Page, started: Started):
    page.emulate_media(**{"contrast": "no-preference"} | asked)
    unseen = {}
    for path in PLACES:
        page.goto(started.live.base_url + path)
        unseen[path] = page.evaluate(UNSEEN, LEAST)
    assert {path: what for path, what in unseen.items() if what} == {}


def test_a_line_of_the_days_ink_alone_is_found_unseen(page: Page, started: Started):
    """The twin: a drawing whose colours stand as attributes only, as on paper."""
    page.emulate_media(forced_colors="active", color_scheme="dark")
    page.goto(f"{started.live.base_url}/day/")
    page.evaluate("() => document.querySelector('link[href*=threads]').remove()")
    assert page.evaluate(UNSEEN, LEAST)


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_no_state_of_the_day_is_told_by_colour_alone(scheme: str, page: Page, started: Started):
    page.emulate_media(forced_colors="none", color_scheme=scheme, contrast="no-preference")
    page.goto(f"{started.live.base_url}/day/")
    assert page.evaluate(ALIKE, LEAST) == []
    page.evaluate(SPOILT)
    assert page.evaluate(ALIKE, LEAST) != [], "as dark as what runs"


def test_who_wants_no_motion_gets_none_over_a_taught_sound(page: Page, started: Started):
    """The marker stands still while the sound plays, and shows where it stopped."""
    page.emulate_media(reduced_motion="reduce")
    page.goto(f"{started.live.base_url}/guides/hear-the-difference/")
    moved = """() => {
      const sound = document.querySelector(".sound[data-seconds]"), player = sound.querySelector("audio");
      Object.defineProperty(player, "currentTime", { value: 2 });
      Object.defineProperty(player, "paused", { value: false });
      const before = sound.querySelector(".now").hidden;
      player.dispatchEvent(new Event("play"));
      return before === sound.querySelector(".now").hidden;
    }"""
    assert page.evaluate(moved)
    page.emulate_media(reduced_motion="no-preference")
    page.reload()
    assert not page.evaluate(moved)
