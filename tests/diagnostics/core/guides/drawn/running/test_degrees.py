import pytest

from diagnostics.core.guides.drawn.running.degrees import (
    ARC_MM,
    DRAWINGS,
    FLYWHEEL_MM,
    ROD_MM,
    SHORT_TRAVEL_MM,
    SLANT_DEG,
    SPEC_DEG,
    STROKE_MM,
    TRAVEL_MM,
    slanting_mm,
)
from diagnostics.core.timing.degrees import Engine, degree_row


def _labels(name):
    return {mark.words for drawing in DRAWINGS if drawing.name == name for mark in drawing.labels}


def test_the_drawn_lengths_are_those_of_the_machines_own_page():
    row = degree_row(Engine(stroke_mm=STROKE_MM, rod_mm=ROD_MM, flywheel_mm=FLYWHEEL_MM), SPEC_DEG)
    assert (row.piston_mm, row.rim_mm) == (TRAVEL_MM, ARC_MM)


def test_the_figures_that_the_page_names_stand_in_the_drawings():
    assert {f"{TRAVEL_MM:.2f} mm", f"{SHORT_TRAVEL_MM:.2f} mm"} <= _labels("curves")
    assert f"{slanting_mm(TRAVEL_MM, SLANT_DEG):.2f} mm" == "3.03 mm"
    assert "3.03 mm" in _labels("slanting")
    assert "21.5 mm along the rim" in _labels("rim")


@pytest.mark.parametrize(
    ("travel", "reads"), [(2.5, 3.536), (3.0, 4.243)]
)  # a maker's manual: 3.5 to 4.2 at 45 degrees
def test_a_slanting_hole_reads_more_as_makers_print_it(travel, reads):
    assert slanting_mm(travel, 45) == pytest.approx(reads, abs=0.001)


def test_a_straight_hole_reads_what_the_piston_moves():
    assert slanting_mm(2.6, 0) == 2.6


@pytest.mark.parametrize(("deg", "mm"), [(2, 0.022), (22.5, TRAVEL_MM + 0.118)])
def test_what_the_page_says_of_small_movements_is_right(deg, mm):
    row = degree_row(Engine(stroke_mm=STROKE_MM, rod_mm=ROD_MM), deg)
    assert row.piston_mm == pytest.approx(mm, abs=0.001)
