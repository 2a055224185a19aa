"""Drawings of the strobe: lamp and marks, what stands under the pointer at a reading, and drift over the revs.

The rim carries a scale in degrees, counted from its T mark towards the way it turns. With the piston 22 degrees
before top dead centre, T is 22 degrees short of the pointer, and 22 of the scale stands under it.
"""

from __future__ import annotations

from diagnostics.core.guides.pen import (
    Drawing,
    Mark,
    Point,
    arc,
    bend,
    box,
    circle,
    joined,
    label,
    labelled,
    line,
    measure,
    polar,
    shape,
    turning,
)
from diagnostics.core.timing.strobe import WITHIN_DEG
from garage.core.text.languages import told_later

SPEC_DEG, IDLE_RPM, PEAK_RPM = 22, 1400, 8800  # of an invented machine
EASED_DEG, ADVANCED_DEG = 20.5, 27  # degrees BTDC at peak revs, examples
RIM_MIDDLE, RIM = (160.0, 378.0), 300  # units: the rim drawn large
SCALE = (0, 10, 20, 30)  # degrees that are numbered


def on_the_rim(deg: float, reading_deg: float) -> float:
    """Where `deg` of the scale stands, in degrees clockwise from the pointer, when the strobe reads reading_deg.

    >>> on_the_rim(22, reading_deg=22), on_the_rim(0, reading_deg=22)
    (0, -22)
    """
    return deg - reading_deg


def _rim(reading_deg: float, red: bool) -> tuple[Mark, ...]:
    ticks: list[Mark] = []
    for deg in range(-2, 41, 2):
        turn = on_the_rim(deg, reading_deg)
        if abs(turn) > 28:
            continue
        depth = 16 if deg in SCALE else 8
        ends = polar(RIM_MIDDLE, RIM, turn), polar(RIM_MIDDLE, RIM - depth, turn)
        ticks.append(line(*ends, thin=deg not in SCALE))
        if deg in SCALE:
            x, y = polar(RIM_MIDDLE, RIM - 30, turn)
            ticks.append(label("T" if deg == 0 else str(deg), (x, y + 5), anchor="middle", bold=deg == 0))
    x, y = polar(RIM_MIDDLE, RIM, 0)
    return joined(
        arc(RIM_MIDDLE, RIM, -28, 28),
        ticks,
        shape((x - 7, y - 24), (x + 7, y - 24), (x, y - 3), red=red, solid=True),
        turning(RIM_MIDDLE, RIM - 48, 8, 22),
    )


def _reading(name: str, title: str, tells: str, head: str, reading_deg: float, *, red: bool = False) -> Drawing:
    marks = joined(
        _rim(reading_deg, red),
        label(head, (10, 24)),
        label("pointer", (136, 50), anchor="end"),
        label("{deg}°", (178, 52), bold=True, red=red, deg=f"{reading_deg:g}"),
    )
    return Drawing(name, title, tells, 150, marks)


def _lamp() -> Drawing:
    middle: Point = (88, 100)
    marks = joined(
        circle(*middle, 62),
        circle(*middle, 48),
        circle(*middle, 9),
        circle(*middle, 4),
        line(polar(middle, 62, 18), polar(middle, 48, 18)),
        shape((104, 20), (120, 24), polar(middle, 65, 18), solid=True),
        turning(middle, 28, -150, -40),
        labelled("mark", (8, 22), polar(middle, 55, 18)),
        labelled("pointer on the case", (140, 22), (116, 26)),
        _strobe_lamp(),
        bend((238, 180), (232, 198), (176, 198)),
        box(150, 198, 30, 16, round_by=3),
        line((20, 206), (150, 206)),
        line((180, 206), (232, 206)),
        box(232, 200, 34, 12, round_by=3),
        line((266, 203), (280, 203), (280, 209), (266, 209)),
        labelled("its clip", (150, 240), (164, 214)),
        labelled("plug lead", (20, 240), (64, 206)),
        labelled("plug cap", (226, 240), (250, 212)),
        label("lamp", (246, 104)),
    )
    return Drawing(
        "lamp",
        "Strobe lamp, clip and marks",
        told_later(
            "A flywheel with a mark on its rim, and a pointer on the case beside it. A strobe lamp shines on both "
            "from a hand’s breadth away. Its clip goes round the plug lead."
        ),
        248,
        marks,
    )


def _strobe_lamp() -> tuple[Mark, ...]:
    """Its lens at the left, its axis on the mark."""
    along, aside = (0.83, 0.55), (-0.55, 0.83)  # unit vectors

    def at(forth: float, across: float) -> Point:
        return 186 + forth * along[0] + across * aside[0], 96 + forth * along[1] + across * aside[1]

    return (
        shape(at(0, -14), at(0, 14), at(24, 9), at(24, -9)),
        shape(at(24, -9), at(24, 9), at(88, 9), at(88, -9)),
        shape(at(58, 9), at(76, 9), (246, 182), (230, 176)),
        line(at(-8, -8), at(-66, -6), dashed=True, thin=True),
        line(at(-8, 8), at(-62, 6), dashed=True, thin=True),
    )


def _drift() -> Drawing:
    left, right, top, bottom = 34, 214, 20, 186

    def at(rpm: float, deg: float) -> Point:
        return (
            left + (right - left) * (rpm - IDLE_RPM) / (PEAK_RPM - IDLE_RPM),
            bottom - (bottom - top) * (deg - 18) / (28 - 18),
        )

    low, high = SPEC_DEG - WITHIN_DEG, SPEC_DEG + WITHIN_DEG
    marks = joined(
        line((left, top - 6), (left, bottom), (right, bottom), thin=True),
        [
            label("{deg}°", (left - 6, at(IDLE_RPM, deg)[1] + 5), anchor="end", deg=str(deg))
            for deg in (18, 20, 22, 24, 26, 28)
        ],
        line(at(IDLE_RPM, low), at(PEAK_RPM, low), thin=True, dashed=True),
        line(at(IDLE_RPM, high), at(PEAK_RPM, high), thin=True, dashed=True),
        line(at(IDLE_RPM, SPEC_DEG), at(PEAK_RPM, SPEC_DEG - 0.3)),
        line(at(IDLE_RPM, SPEC_DEG), at(PEAK_RPM, EASED_DEG)),
        line(at(IDLE_RPM, SPEC_DEG), at(PEAK_RPM, ADVANCED_DEG), red=True),
        label("advances", (right + 8, at(PEAK_RPM, ADVANCED_DEG)[1] + 5), red=True),
        label("steady", (right + 8, at(PEAK_RPM, SPEC_DEG)[1] + 3)),
        label("eases back", (right + 8, at(PEAK_RPM, EASED_DEG)[1] + 9)),
        label("tickover", (left, bottom + 20)),
        label("peak revs", (right, bottom + 20), anchor="end"),
        measure(at(2200, high), at(2200, low)),
        label("a degree either way", (left + 12, at(IDLE_RPM, low)[1] + 16)),
    )
    return Drawing(
        "drift",
        "Timing against revs",
        told_later(
            "Timing in degrees before top dead centre, from tickover to peak revs. One line stays within a degree of "
            "22. One eases back to 20.5 degrees. The third climbs to 27 and is marked: it advances."
        ),
        216,
        marks,
    )


DRAWINGS = (
    _lamp(),
    _reading(
        "tickover",
        told_later("The reading at tickover"),
        told_later(
            "The rim under the strobe at tickover. The T mark is 22 degrees short of the pointer, and the scale reads "
            "22 degrees."
        ),
        told_later("at tickover"),
        SPEC_DEG,
    ),
    _reading(
        "peak",
        told_later("The reading at peak revs, advanced"),
        told_later(
            "The rim under the strobe at peak revs. The scale has moved against the way the flywheel turns, and 27 "
            "degrees stands under the pointer: the spark comes five degrees earlier than at tickover."
        ),
        told_later("at peak revs"),
        ADVANCED_DEG,
        red=True,
    ),
    _drift(),
)
