"""A guide is printed on one sheet in each language, and no wider than a phone."""

from __future__ import annotations

from io import BytesIO

import pytest
from pypdf import PdfReader

from diagnostics.core.guides.guides import GUIDES
from garage.core.text.languages import LANGUAGES
from tests.browser.conftest import Started
from tests.browser.watch import scrolls_sideways

PAPERS = ("A4", "Letter")


@pytest.mark.long
@pytest.mark.parametrize("language", LANGUAGES)
def test_each_guide_is_one_sheet_of_either_paper_and_fits_a_phone(started: Started, language: str):
    with started.context(locale=language) as context:
        page = context.new_page()
        for guide in GUIDES:
            page.goto(f"{started.live.base_url}/guides/{guide.slug}/")
            assert page.locator("html").get_attribute("lang").startswith(language)
            sheets = {paper: len(PdfReader(BytesIO(page.pdf(format=paper))).pages) for paper in PAPERS}
            assert sheets == dict.fromkeys(PAPERS, 1), guide.slug
            assert not scrolls_sideways(page), guide.slug
