import math
from xml.etree import ElementTree

import pytest

from diagnostics.core.guides.pen import (
    Drawing,
    arc,
    arrow,
    hatched,
    joined,
    label,
    labelled,
    line,
    measure,
    polar,
    turning,
)
from garage.core.text.languages import in_language


def test_the_file_holds_title_description_and_labels():
    drawing = Drawing(
        "coil", "A coil", "The coil & its lead.", 100, joined(line((0, 0), (10, 5)), label("5 < 6", (4, 20)))
    )
    root = ElementTree.fromstring(drawing.svg())  # noqa: S314 (our own text)
    texts = [element.text for element in root if element.text]
    assert texts == ["A coil", "The coil & its lead.", "5 < 6"]


def test_every_word_can_be_said_in_another_language():
    drawing = Drawing(
        "coil", "a coil", "the coil", 100, joined(labelled("its lead", (4, 20), (50, 50)), line((0, 0), (9, 9)))
    )
    with in_language("de", str.upper):
        said = drawing.svg()
    assert all(words in said for words in ("A COIL", "THE COIL", "ITS LEAD"))


def test_a_figure_is_written_as_the_language_writes_it_in_a_sentence_and_alone():
    marks = joined(label("{mm} mm below", (4, 20), mm="2.62"), label("0.2 Ω", (4, 40)))
    with in_language("de", {"{mm} mm below": "{mm} mm tiefer", "0.2 Ω": "0.2 Ω"}.get):
        assert [mark.words for mark in marks] == ["2,62 mm tiefer", "0,2 Ω"]


def test_a_leader_begins_where_the_words_end_in_each_language():
    name = labelled("key", (20, 50), (200, 46))
    with in_language("de", {"key": "Passfeder"}.get):
        german = name.drawn()
    starts = [float(drawn.split('d="M')[1].split(" ")[0]) for drawn in (name.drawn(), german)]
    assert starts == pytest.approx([20 + 3 * 8.4 + 2, 20 + 9 * 8.4 + 2])


@pytest.mark.parametrize(("deg", "point"), [(0, (10, 5)), (90, (15, 10)), (180, (10, 15)), (270, (5, 10))])
def test_angles_are_clockwise_from_straight_up(deg, point):
    assert polar((10, 10), 5, deg) == pytest.approx(point)


def test_an_arc_goes_clockwise_and_the_long_way_round_if_told_to():
    assert "A5 5 0 0 1" in arc((0, 0), 5, 0, 90).svg
    assert "A5 5 0 1 1" in arc((0, 0), 5, 90, 0).svg


def test_a_head_lies_behind_the_tip_it_points_with():
    _, head = arrow((0, 0), (20, 0))
    xs = [float(part.split()[0]) for part in head.svg.split('"')[1][1:].split("L")]
    assert xs[1] == 20
    assert max(xs[0], xs[2]) < 20 - 6 * math.cos(math.radians(30))


def test_a_measure_has_a_head_at_both_ends_and_a_turn_at_one():
    assert len(measure((0, 0), (20, 0))) == 3
    assert len(turning((0, 0), 9, 0, 60)) == len(turning((0, 0), 9, 60, 0)) == 2


def test_hatching_stays_within_its_rectangle():
    for mark in hatched(10, 20, 50, 35):
        for point in mark.svg.split('"')[1][1:].split("L"):
            x, y = map(float, point.split())
            assert 10 <= x <= 50
            assert 20 <= y <= 35


@pytest.mark.parametrize(("anchor", "left"), [("start", 100), ("middle", 83.2), ("end", 66.4)])
def test_the_room_of_a_label_lies_where_its_anchor_says(anchor, left):
    mark = label("coil", (100, 50), anchor=anchor)
    assert mark.box[0] == pytest.approx(left)
    assert mark.box[2] - mark.box[0] == pytest.approx(33.6)
