"""The guides' pages: public, whole, light, and each drawing described."""

import re

import pytest
from django.urls import reverse

from diagnostics.core.guides.guides import GUIDES
from garage.core.text.languages import LANGUAGES
from garage.output.speaking import speaking
from tests.rules.tree import ROOT

MOST_BYTES = 150_000  # of a page with its drawings, fonts and style sheets
STYLES = ("paper.css", "threads.css", "print.css", "guide.css", "paper_scale.css")

pytestmark = pytest.mark.django_db


def test_the_list_names_every_guide_with_its_sentence(client):
    text = client.get(reverse("guides")).text
    for guide in GUIDES:
        assert f'href="{reverse("guide", args=[guide.slug])}"' in text
        assert guide.tells in text


def test_no_guide_is_at_another_address(client):
    assert client.get(reverse("guide", args=["no-such-guide"])).status_code == 404


@pytest.mark.parametrize("guide", GUIDES, ids=lambda guide: guide.slug)
def test_a_guide_shows_each_drawing_once_with_its_description(client, guide):
    text = client.get(reverse("guide", args=[guide.slug])).text
    shown = re.findall(r'<img class="drawing" src="[^"]*/drawings/([^"]*)"[^>]* alt="([^"]*)"', text)
    assert len(shown) == len(guide.drawings)
    assert len({alt for _, alt in shown}) == len(shown)
    assert all(len(alt) > 40 for _, alt in shown)


@pytest.mark.parametrize("guide", GUIDES, ids=lambda guide: guide.slug)
def test_every_part_of_a_guide_is_filled_in(client, guide):
    text = client.get(reverse("guide", args=[guide.slug])).text
    for part in ("care", "needs", "steps", "results", "leave", "numbers"):
        below = text.split(f'id="{part}"')[1].split("</section>")[0].split("</h2>")[1]
        assert len(re.sub(r"<[^>]*>|\s+", " ", below).strip()) > 40, part
    assert "Local codes" in text


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("guide", GUIDES, ids=lambda guide: guide.slug)
def test_a_guide_with_all_that_it_loads_is_light(client, guide, language):
    page = len(client.get(reverse("guide", args=[guide.slug]), headers={"accept-language": language}).content)
    with speaking(language):
        drawings = sum((ROOT / "static" / guide.file(drawing)).stat().st_size for drawing in guide.drawings)
    styles = sum((ROOT / "static" / style).stat().st_size for style in STYLES)
    fonts = sum(path.stat().st_size for path in (ROOT / "static/vendor/atkinson").glob("*.woff2"))
    assert fonts > 10_000
    assert page + drawings + styles + fonts < MOST_BYTES
