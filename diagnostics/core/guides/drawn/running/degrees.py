"""Drawings of degrees in millimetres: piston and crank to scale, the dial gauge, a slanting plug hole, the rim.

All are of one invented engine, and every length comes from the function that works it out.
"""

from __future__ import annotations

import math

from diagnostics.core.guides.pen import (
    Drawing,
    Mark,
    Point,
    arc,
    box,
    circle,
    joined,
    label,
    labelled,
    line,
    measure,
    polar,
    shape,
    trace,
    turning,
)
from diagnostics.core.timing.piston import btdc_mm, rim_mm
from garage.core.text.languages import told_later

STROKE_MM, ROD_MM, FLYWHEEL_MM, SPEC_DEG = 58, 116, 112, 22
SHORT_STROKE_MM, SHORT_ROD_MM = 44, 90  # of a smaller invented engine, beside it
TRAVEL_MM = btdc_mm(SPEC_DEG, STROKE_MM, ROD_MM)
SHORT_TRAVEL_MM = btdc_mm(SPEC_DEG, SHORT_STROKE_MM, SHORT_ROD_MM)
SLANT_DEG = 30
ARC_MM = rim_mm(SPEC_DEG, FLYWHEEL_MM)


def slanting_mm(travel_mm: float, slant_deg: float) -> float:
    """What a gauge reads along a plug hole that slants by slant_deg, 0 to below 90, when the piston moves travel_mm.

    Source: the rod slides along its own axis until it meets the flat crown: travel / cos(slant).

    >>> round(slanting_mm(3.0, 45), 3)
    4.243
    """
    return travel_mm / math.cos(math.radians(slant_deg))


def _engine() -> Drawing:
    scale, axis = 0.8, (96.0, 240.0)  # units a mm
    crank_pin = polar(axis, scale * STROKE_MM / 2, -SPEC_DEG)
    pin_y = axis[1] - scale * (ROD_MM + STROKE_MM / 2 - TRAVEL_MM)
    crown = pin_y - scale * 20
    wall, deck = scale * 28, axis[1] - scale * (ROD_MM + STROKE_MM / 2 + 22)
    left, right = axis[0] - wall, axis[0] + wall
    marks = joined(
        circle(*axis, scale * 48),
        circle(*axis, 5),
        circle(*crank_pin, 6),
        line(axis, crank_pin),
        line(crank_pin, (axis[0], pin_y)),
        line(axis, (axis[0], axis[1] - scale * 62), dashed=True, thin=True),
        circle(axis[0], pin_y, 4),
        box(left + 2, crown, 2 * wall - 4, scale * 44),
        line((left, 196), (left, deck), (axis[0] - 7, deck), (axis[0] - 7, deck - 12)),
        line((right, 196), (right, deck), (axis[0] + 7, deck), (axis[0] + 7, deck - 12)),
        line((axis[0], crown), (axis[0], deck - 26)),
        circle(axis[0], deck - 46, 20),
        line((axis[0], deck - 46), polar((axis[0], deck - 46), 14, 40)),
        line(crank_pin, polar(axis, scale * 62, -SPEC_DEG), dashed=True, thin=True),
        arc(axis, scale * 56, -SPEC_DEG, 0, red=True),
        labelled("dial gauge", (150, 36), (axis[0] + 19, deck - 40)),
        labelled("plug hole", (150, 70), (axis[0] + 7, deck - 6)),
        labelled("piston", (150, 118), (right - 6, crown + 20)),
        labelled("rod", (150, 158), (axis[0] - 3, 172)),
        labelled("crank", (150, 208), (axis[0] + 28, 240 - 22)),
        labelled("{deg}° before the top", (150, 262), polar(axis, scale * 56, -2), red=True, deg=f"{SPEC_DEG}"),
    )
    return Drawing(
        "engine",
        "Piston, rod and crank, 22 degrees before top dead centre",
        told_later(
            "A cylinder cut through, to scale. The crank is 22 degrees short of the top. The rod of a dial gauge goes"
            " through the plug hole and rests on the piston’s crown."
        ),
        288,
        marks,
    )


def _dial(middle: Point, mm: float) -> tuple[Mark, ...]:
    """A dial whose long hand goes round once a millimetre, and whose short one counts them; "
    "anticlockwise going down."""
    ticks = []
    for step in range(0, 100, 2):
        is_tenth = step % 10 == 0
        ends = polar(middle, 68, 3.6 * step), polar(middle, 60 if is_tenth else 64, 3.6 * step)
        ticks.append(line(*ends, thin=not is_tenth))
    small = (middle[0], middle[1] + 30)
    return joined(
        circle(*middle, 74),
        ticks,
        circle(*small, 16, thin=True),
        [line(polar(small, 16, 36 * step), polar(small, 13, 36 * step), thin=True) for step in range(10)],
        line(small, polar(small, 11, -36 * mm)),
        line(middle, polar(middle, 58, -360 * mm), red=True),
        circle(*middle, 4, solid=True),
        label("0", (middle[0] + 14, middle[1] - 42), anchor="middle"),
    )


def _top() -> Drawing:
    middle = (96.0, 104.0)
    marks = joined(
        _dial(middle, 0),
        turning(middle, 84, -36, -8),
        turning(middle, 90, -8, -36),
        labelled("turns back here", (186, 30), polar(middle, 76, 4)),
        labelled("whole mm", (196, 140), (113, 136)),
        label("top dead centre: set to 0", (20, 212)),
    )
    return Drawing(
        "top",
        "The gauge at top dead centre",
        told_later(
            "The dial of the gauge. The long hand stops and turns back at one point, which is top dead centre, and "
            "the dial is set to nought there."
        ),
        222,
        marks,
    )


def _reading() -> Drawing:
    middle = (96.0, 92.0)
    marks = joined(
        _dial(middle, TRAVEL_MM),
        label("{mm} mm", (186, 60), red=True, bold=True, mm=f"{TRAVEL_MM:.2f}"),
        label("is {deg}°", (186, 80), red=True, deg=f"{SPEC_DEG}"),
        label("on this engine", (186, 100)),
        labelled("2 whole mm", (196, 150), (106, 126)),
    )
    return Drawing(
        "reading",
        "The gauge at 22 degrees",
        told_later(
            "The dial of the gauge with the piston 2.62 millimetres below the top: two whole turns of the long hand "
            "and 62 hundredths. On this engine that is 22 degrees."
        ),
        190,
        marks,
    )


def _slanting() -> Drawing:
    per_mm, crown_y, foot_x = 22, 150.0, 112.0
    fall, slant = per_mm * TRAVEL_MM, math.radians(SLANT_DEG)
    shift = fall * math.tan(slant)
    upper, lower = (foot_x, crown_y), (foot_x - shift, crown_y + fall)
    top = (foot_x + 108 * math.tan(slant), crown_y - 108)
    beside = 10  # units, so that the measure lies beside the rod
    marks = joined(
        line((20, crown_y), (230, crown_y), dashed=True),
        line((20, crown_y + fall), (230, crown_y + fall)),
        line(top, lower),
        circle(*lower, 3, solid=True),
        circle(*upper, 3),
        line((foot_x, crown_y), (foot_x, 44), dashed=True, thin=True),
        arc(upper, 84, 0, SLANT_DEG),
        label("{deg}°", (120, 56), deg=f"{SLANT_DEG}"),
        measure((214, crown_y), (214, crown_y + fall)),
        label("{mm} mm", (222, crown_y + fall / 2 + 5), mm=f"{TRAVEL_MM:.2f}"),
        measure((upper[0] + beside, upper[1] + 6), (lower[0] + beside, lower[1] + 0), red=True),
        label("{mm} mm", (116, crown_y + fall / 2 + 10), red=True, mm=f"{slanting_mm(TRAVEL_MM, SLANT_DEG):.2f}"),
        labelled("gauge’s rod", (186, 66), (top[0] - 14, top[1] + 24)),
        label("crown at the top", (182, crown_y - 8)),
        label("crown at {deg}°", (20, crown_y + fall + 20), deg=f"{SPEC_DEG}"),
    )
    return Drawing(
        "slanting",
        "A plug hole that slants",
        told_later(
            "The piston’s crown at the top and at 22 degrees, 2.62 millimetres lower. A gauge whose rod slants by 30 "
            "degrees slides further to reach it: it reads 3.03 millimetres."
        ),
        236,
        marks,
    )


def _curves() -> Drawing:
    left, bottom = 40.0, 196.0

    def at(deg: float, mm: float) -> Point:
        return left + 6.4 * deg, bottom - 34 * mm

    degs = [step / 2 for step in range(61)]
    marks = joined(
        line((left, 14), (left, bottom), (left + 6.4 * 30 + 6, bottom), thin=True),
        [label("{deg}°", (at(deg, 0)[0], bottom + 18), anchor="middle", deg=str(deg)) for deg in (0, 10, 20, 30)],
        [label(str(mm), (left - 6, at(0, mm)[1] + 5), anchor="end") for mm in (1, 2, 3, 4)],
        trace([at(deg, btdc_mm(deg, STROKE_MM, ROD_MM)) for deg in degs]),
        trace([at(deg, btdc_mm(deg, SHORT_STROKE_MM, SHORT_ROD_MM)) for deg in degs], dashed=True),
        line(at(SPEC_DEG, 0), at(SPEC_DEG, TRAVEL_MM), red=True, thin=True),
        circle(*at(SPEC_DEG, TRAVEL_MM), 3, red=True, solid=True),
        circle(*at(SPEC_DEG, SHORT_TRAVEL_MM), 3, red=True, solid=True),
        label(
            "{mm} mm", (at(SPEC_DEG, 0)[0] - 8, at(0, TRAVEL_MM)[1] - 4), anchor="end", red=True, mm=f"{TRAVEL_MM:.2f}"
        ),
        label(
            "{mm} mm", (at(SPEC_DEG, 0)[0] + 9, at(0, SHORT_TRAVEL_MM)[1] + 18), red=True, mm=f"{SHORT_TRAVEL_MM:.2f}"
        ),
        label("stroke {mm}", (at(30, 0)[0] - 12, 20), anchor="end", mm=f"{STROKE_MM}"),
        label("stroke {mm}", (at(30, 0)[0] + 4, at(0, 3.3)[1]), mm=f"{SHORT_STROKE_MM}"),
        label("mm", (left + 6, 24)),
    )
    return Drawing(
        "curves",
        "Degrees and millimetres on two engines",
        told_later(
            "Piston below the top, in millimetres, against degrees. At 22 degrees the engine with a stroke of 58 has "
            "moved 2.62 millimetres, the one with 44 only 1.98. Near the top both curves are flat."
        ),
        222,
        marks,
    )


def _rim() -> Drawing:
    middle, r = (112.0, 116.0), 88.0
    marks = joined(
        circle(*middle, r),
        circle(*middle, r - 14),
        circle(*middle, 12),
        shape((105, 6), (119, 6), (112, 24), solid=True),
        [line(polar(middle, r, turn), polar(middle, r - 14, turn), red=turn > 0) for turn in (0, SPEC_DEG)],
        arc(middle, r + 8, 0, SPEC_DEG, red=True),
        label("T", (108, 60), bold=True),
        turning(middle, 50, 60, 130),
        labelled("{mm} mm along the rim", (136, 14), polar(middle, r + 8, SPEC_DEG / 2), red=True, mm=f"{ARC_MM:.1f}"),
        labelled("spark", (222, 76), polar(middle, r - 7, SPEC_DEG), red=True),
        label("rim {mm} mm across", (24, 224), mm=f"{FLYWHEEL_MM}"),
    )
    return Drawing(
        "rim",
        "The mark on the rim",
        told_later(
            "A flywheel 112 millimetres across with its T mark under the pointer. The mark for the spark at 22 "
            "degrees is 21.5 millimetres further round the rim, on the side that passes the pointer first."
        ),
        236,
        marks,
    )


DRAWINGS = (_curves(), _engine(), _top(), _reading(), _slanting(), _rim())
