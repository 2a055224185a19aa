"""The drawings' files are what the script makes, and each can be read on a phone and by who cannot see it."""

import itertools

import pytest

from diagnostics.core.guides.guides import GUIDES
from diagnostics.core.guides.pen import WIDTH
from garage.core.text.languages import LANGUAGES
from garage.output.speaking import speaking
from tests.rules.tree import ROOT

EACH = [pytest.param(guide, drawing, id=guide.file(drawing)) for guide in GUIDES for drawing in guide.drawings]


@pytest.fixture(params=LANGUAGES)
def _spoken(request):
    with speaking(request.param):
        yield


@pytest.mark.parametrize("guide", GUIDES, ids=lambda guide: guide.slug)
def test_a_guide_has_three_drawings_at_least_each_with_a_name_of_its_own(guide):
    names = [drawing.name for drawing in guide.drawings]
    assert len(names) == len(set(names)) >= 3
    assert all(name.isidentifier() for name in names)


@pytest.mark.usefixtures("_spoken")
@pytest.mark.parametrize(("guide", "drawing"), EACH)
def test_the_file_is_what_the_script_makes(guide, drawing):
    path = ROOT / "static" / guide.file(drawing)
    assert path.read_text(encoding="utf-8") == drawing.svg(), "run manage.py draw_guides"


def test_there_is_no_file_that_nothing_draws():
    made = set()
    for code in LANGUAGES:
        with speaking(code):
            made |= {guide.file(drawing) for guide in GUIDES for drawing in guide.drawings}
    there = {str(path.relative_to(ROOT / "static")) for path in (ROOT / "static/drawings").rglob("*.svg")}
    assert there == made


@pytest.mark.parametrize(("guide", "drawing"), EACH)
def test_a_drawing_is_described_in_whole_sentences(guide, drawing):
    assert drawing.title
    assert len(drawing.tells) > 40
    assert drawing.tells.endswith(".")


@pytest.mark.usefixtures("_spoken")
@pytest.mark.parametrize(("guide", "drawing"), EACH)
def test_labels_stay_in_the_drawing_and_off_each_other(guide, drawing):
    for mark in drawing.labels:
        left, top, right, bottom = mark.box
        assert left >= 0, mark.words
        assert right <= WIDTH, mark.words
        assert top >= 0, mark.words
        assert bottom <= drawing.height, mark.words
    for one, other in itertools.combinations(drawing.labels, 2):
        apart = one.box[2] <= other.box[0] or other.box[2] <= one.box[0]
        assert apart or one.box[3] <= other.box[1] or other.box[3] <= one.box[1], (one.words, other.words)
