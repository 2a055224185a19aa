"""The picture as a file: that it is drawn, the same each time, with its strips. How it looks is looked at."""

from __future__ import annotations

from jobs.core.runs.curve import PowerCurve, band_of
from jobs.pages.run_picture import ON_PAGE, ON_WALL, DrawnRuns, PictureUnits, run_picture

UNITS = PictureUnits("hp", 745.7, "Nm", 1.0)
RPM = tuple(range(5000, 9050, 50))


def drawn(name, watts, fuel=()):
    return DrawnRuns(name, band_of([PowerCurve(RPM, tuple(watts + rpm for rpm in RPM))]), fuel)


def test_a_run_alone_and_two_with_their_mixture_are_drawn_the_same_each_time():
    alone = run_picture(drawn("run A", 0.0), None, UNITS, ON_PAGE)
    both = run_picture(drawn("run B", 900.0, tuple((rpm, 13.0) for rpm in RPM)), drawn("run A", 0.0), UNITS, ON_WALL)
    assert alone.startswith(b"<?xml")
    assert alone == run_picture(drawn("run A", 0.0), None, UNITS, ON_PAGE)
    assert (alone.count(b'id="axes_'), both.count(b'id="axes_')) == (2, 3)
