"""What the browser prints stands on the papers' grid, on A4 and on Letter: read off the pictures of the sheets."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from tests.browser.conftest import Started
from tests.jobs.papers.pictures import PX_PER_PT, Picture, pictures

pytestmark = pytest.mark.long
PAPERS = {"A4": (595.28, 841.89), "Letter": (612.0, 792.0)}  # points; ISO 216 and ANSI Y14.1
GUIDES = {"strobe": "en", "level": "en", "hear-the-difference": "de"}  # steps in two columns, in three, and sounds
GUIDE_MARGIN_PT, GAP_PT = 28.0, 14.0  # points (static/guide.css)
TEXT_PT, TOP_PT = 493.2, 56.0  # points; of a page that is set as a paper (static/print.css)
RULES_PT = (0.75, 1.5)  # points; one pixel and two (static/print.css)
PIXEL_PT, BEARING_PT = 0.75, 1.5  # points; a browser moves edges to a pixel, and a letter begins right of its place
ANSWERS = ".findings .standing > span:not(.help):visible"  # while the boss is asked they are folded
ROW_GAP_PT = 6.0  # points; no space within a sentence is so wide


def rows(sheet: Picture, width: float) -> Iterator[list[float]]:
    """Where the blocks of each row between two hairlines as wide as the text begin, points from its left edge."""
    lines = [rule for rule in sheet.rules(width - 1) if rule.bottom - rule.top < RULES_PT[1]]
    for above, below in pairwise(lines):
        band = sheet.ink[int(above.bottom * PX_PER_PT) + 1 : int(below.top * PX_PER_PT) - 1]
        inked = np.flatnonzero(band.any(axis=0)) / PX_PER_PT
        starts = inked[np.diff(inked, prepend=-np.inf) > ROW_GAP_PT]
        yield [float(start - below.left) for start in starts]


def wrong(sheet: Picture, size: tuple[float, float], left: float, top: float) -> list[str]:
    """What stands in the margins, and rules that are neither of the two."""
    width, height = size
    begins, first, ends, last = sheet.box()
    said = [] if abs(begins - left) <= BEARING_PT and ends <= width - left + PIXEL_PT else [f"from {begins} to {ends}"]
    said += [] if top <= first and last <= height - top + PIXEL_PT else [f"from {first} down to {last}"]
    for rule in sheet.rules((width - 2 * left) * 0.6):
        thick = rule.bottom - rule.top
        if not any(abs(thick - right) <= 1 / PX_PER_PT for right in RULES_PT):
            said.append(f"a rule of {thick} at {rule.top}")
    return said


@pytest.mark.parametrize("slug", GUIDES)
def test_a_guide_stands_in_the_columns_of_its_sheet(started: Started, slug: str, tmp_path: Path):
    with started.context(locale=GUIDES[slug]) as context:
        page = context.new_page()
        page.goto(f"{started.live.base_url}/guides/{slug}/")
        for paper, size in PAPERS.items():
            (sheet,) = pictures(page.pdf(format=paper), tmp_path / paper)
            assert wrong(sheet, size, GUIDE_MARGIN_PT, GUIDE_MARGIN_PT) == []
            width = size[0] - 2 * GUIDE_MARGIN_PT
            second = (width - 2 * GAP_PT) / 3 + GAP_PT
            results = list(rows(sheet, width))
            assert len(results) > 2
            assert all(abs(blocks[1] - second) <= BEARING_PT for blocks in results), results


def test_what_is_printed_first_has_every_face_already(started: Started, tmp_path: Path):
    """The zero of sentences above all, which only paper asked for once."""
    with started.context(locale="de") as context:
        page = context.new_page()
        page.goto(f"{started.live.base_url}/guides/hear-the-difference/")
        first, again = (pictures(page.pdf(format="A4"), tmp_path / turn)[0] for turn in ("first", "again"))
        assert (first.ink == again.ink).all()


def test_findings_are_one_sheet_in_the_columns_of_the_papers(started: Started, tmp_path: Path):
    addresses = started.addresses()["findings"]
    with started.context() as context:
        started.logs_in(context, "boss")
        page = context.new_page()
        for address in addresses:
            page.goto(f"{started.live.base_url}{address}")
            if (said := page.locator(ANSWERS).count()) >= 3:
                break
        for paper, size in PAPERS.items():
            (sheet,) = pictures(page.pdf(format=paper), tmp_path / paper)
            assert wrong(sheet, size, (size[0] - TEXT_PT) / 2, TOP_PT) == []
            answers = [blocks for blocks in rows(sheet, TEXT_PT) if len(blocks) == 3]
            assert 3 <= len(answers) <= said
            for blocks in answers:
                assert blocks == pytest.approx([0, TEXT_PT * 4 / 12, TEXT_PT * 7 / 12], abs=BEARING_PT)
