"""Pictures: the same bytes each time, nothing fetched, letters as paths in our own font."""

import re

from garage.output.pictures import look, sheet, svg


def drawn():
    with look():
        figure, axes = sheet()
        axes.plot([1000, 8000], [17, 16])
        axes.set_xlabel("revs")
        return svg(figure)


def test_the_same_figure_is_the_same_file():
    assert drawn() == drawn()


def test_a_picture_points_at_nothing_outside_itself():
    links = re.findall(r'href="([^"]*)"', drawn().decode())
    assert links
    assert all(link.startswith("#") for link in links)


def test_letters_are_paths_in_our_own_font():
    kept = drawn().decode()
    assert "<text" not in kept
    assert "AtkinsonHyperlegibleNext" in kept
