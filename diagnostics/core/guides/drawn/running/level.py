"""Drawings of pickup and magnets: half a section through flywheel and stator plate, to scale, measured and packed.

Heights are in mm from the face of the crankcase, upwards, and radii in mm from the crank's axis. The packers are those
that the packer rule chooses for the drawn heights.
"""

from __future__ import annotations

from diagnostics.core.guides.pen import (
    Drawing,
    Mark,
    Point,
    box,
    circle,
    hatched,
    joined,
    label,
    labelled,
    line,
    measure,
    polar,
    shape,
    turning,
)
from diagnostics.core.timing.packers import packers
from garage.core.text.languages import told_later

PICKUP_MM, MAGNET_MM = 11.7, 13.0  # heights of the two middles, of an invented machine
STOCK_MM = (0.3, 0.5, 0.8, 1.0)  # packers in the drawer
STACK = packers(PICKUP_MM, MAGNET_MM, STOCK_MM)

PER_MM, AXIS_X, FACE_Y = 5, 16.0, 196.0  # units a mm; where the axis and the crankcase face lie
RIM_OUTER_MM, RIM_INNER_MM, RIM_FOOT_MM, WEB_MM, TOP_MM = 56, 51, 4.0, 25, 29
MAGNET_HALF_MM, MAGNET_THICK_MM = 7, 3.5
PLATE_MM, PLATE_REACH_MM = 3, 40
POLE_HALF_MM, POLE_FROM_MM, POLE_TO_MM = 2.5, 34, 46.5


def at(radius_mm: float, height_mm: float) -> Point:
    """Where a point of the section lies in the drawing."""
    return AXIS_X + PER_MM * radius_mm, FACE_Y - PER_MM * height_mm


def pole_height_mm(packed_mm: float) -> float:
    """Height of the pickup's middle with packers under its plate.

    >>> round(pole_height_mm(sum(STACK.stack_mm)), 6) == MAGNET_MM
    True
    """
    return PICKUP_MM + packed_mm


def _rectangle(inner_mm: float, low_mm: float, outer_mm: float, high_mm: float, *, red: bool = False) -> Mark:
    left, top = at(inner_mm, high_mm)
    return box(left, top, PER_MM * (outer_mm - inner_mm), PER_MM * (high_mm - low_mm), red=red)


def _case(right_mm: float = 58) -> tuple[Mark, ...]:
    left, right = at(0, 0), at(right_mm, 0)
    return joined(line(left, right), hatched(left[0], left[1], right[0], left[1] + 12))


def _crank() -> tuple[Mark, ...]:
    taper = [at(6, 0), at(6, 22), at(5, 29), at(3.5, 29), at(3.5, 34), at(0, 34)]
    return line(*taper), line(at(0, -3), at(0, 37), dashed=True, thin=True)


def _flywheel() -> tuple[Mark, ...]:
    outline = [
        at(6.2, 20),
        at(10, 20),
        at(10, WEB_MM),
        at(RIM_INNER_MM, WEB_MM),
        at(RIM_INNER_MM, RIM_FOOT_MM),
        at(RIM_OUTER_MM, RIM_FOOT_MM),
        at(RIM_OUTER_MM, TOP_MM),
        at(6, TOP_MM),
    ]
    low, high = MAGNET_MM - MAGNET_HALF_MM, MAGNET_MM + MAGNET_HALF_MM
    inner, top = at(RIM_INNER_MM - MAGNET_THICK_MM, high)
    right, bottom = at(RIM_INNER_MM, low)
    return joined(
        shape(*outline),
        _rectangle(RIM_INNER_MM - MAGNET_THICK_MM, low, RIM_INNER_MM, high),
        hatched(inner, top, right, bottom, step=4),
    )


def _plate(packed_mm: float, red: bool) -> tuple[Mark, ...]:
    middle = pole_height_mm(packed_mm)
    foot = packed_mm
    return joined(
        _rectangle(9, foot, PLATE_REACH_MM, foot + PLATE_MM),
        line(at(36, foot + PLATE_MM), at(36, middle - POLE_HALF_MM)),
        line(at(39, foot + PLATE_MM), at(39, middle - POLE_HALF_MM)),
        _rectangle(POLE_FROM_MM, middle - POLE_HALF_MM, POLE_TO_MM, middle + POLE_HALF_MM, red=red),
    )


def _middle(height_mm: float, from_mm: float, to_mm: float, *, red: bool = False) -> Mark:
    return line(at(from_mm, height_mm), at(to_mm, height_mm), red=red, dashed=True, thin=True)


def _upright(radius_mm: float, low_mm: float, high_mm: float, *, red: bool = False) -> tuple[Mark, ...]:
    return measure(at(radius_mm, low_mm), at(radius_mm, high_mm), red=red)


def _parts() -> Drawing:
    marks = joined(
        _case(),
        _crank(),
        _flywheel(),
        _plate(0, red=True),
        _middle(PICKUP_MM, 26, 49, red=True),
        _middle(MAGNET_MM, 44, 60),
        labelled("crank", (4, 240), at(4, 6)),
        labelled("stator plate", (66, 240), at(24, 1.5)),
        labelled("pickup", (170, 240), at(42, PICKUP_MM - 1), red=True),
        labelled("magnet", (230, 240), at(49.5, 8)),
        labelled("flywheel", (146, 28), at(30, 27)),
        labelled("crankcase face", (312, 264), at(58, 0), anchor="end"),
    )
    return Drawing(
        "parts",
        "Flywheel and pickup, cut through",
        told_later(
            "Half a section through the flywheel on its crank. The magnet sits inside the rim. The pickup stands on "
            "the stator plate, which lies on the face of the crankcase. The pickup’s middle is lower than the "
            "magnet’s."
        ),
        270,
        marks,
    )


def _magnet_height() -> Drawing:
    marks = joined(
        _case(),
        _crank(),
        _flywheel(),
        _upright(53.5, 0, RIM_FOOT_MM, red=True),
        label("{mm} mm", (at(44, 0)[0] + 28, 178), anchor="end", red=True, mm=f"{RIM_FOOT_MM:g}"),
        label("from the face to the rim’s edge", (28, 240)),
        label("flywheel on, plate off", (60, 24)),
    )
    return Drawing(
        "face_to_rim",
        "From the crankcase face to the rim’s edge",
        told_later(
            "The same section with the flywheel on and the stator plate off. The gap from the crankcase face up to "
            "the edge of the rim is 4 millimetres."
        ),
        250,
        marks,
    )


def _turned(radius_mm: float, height_mm: float) -> Point:
    """Where a point of the flywheel lies when it is off and lies on its face, rim upwards."""
    return AXIS_X + PER_MM * radius_mm, 60 + PER_MM * (height_mm - RIM_FOOT_MM)


def _flywheel_turned() -> tuple[Mark, ...]:
    outline = [
        _turned(6, TOP_MM),
        _turned(6, 20),
        _turned(10, 20),
        _turned(10, WEB_MM),
        _turned(RIM_INNER_MM, WEB_MM),
        _turned(RIM_INNER_MM, RIM_FOOT_MM),
        _turned(RIM_OUTER_MM, RIM_FOOT_MM),
        _turned(RIM_OUTER_MM, TOP_MM),
    ]
    inner, top = _turned(RIM_INNER_MM - MAGNET_THICK_MM, MAGNET_MM - MAGNET_HALF_MM)
    right, bottom = _turned(RIM_INNER_MM, MAGNET_MM + MAGNET_HALF_MM)
    magnet = box(inner, top, right - inner, bottom - top)
    return joined(shape(*outline), magnet, hatched(inner, top, right, bottom, step=4))


def _rim_to_magnet() -> Drawing:
    edge, middle = _turned(42, RIM_FOOT_MM), _turned(42, MAGNET_MM)
    right, bench_y = _turned(RIM_INNER_MM, 0)[0], _turned(0, TOP_MM)[1] + 1
    marks = joined(
        _flywheel_turned(),
        line((edge[0] - 60, edge[1]), (right, edge[1]), dashed=True, thin=True),
        line((middle[0] - 10, middle[1]), (right, middle[1]), dashed=True, thin=True),
        measure(edge, middle, red=True),
        label("{mm} mm", (edge[0] - 12, 90), anchor="end", red=True, mm=f"{MAGNET_MM - RIM_FOOT_MM:g}"),
        label("flywheel off, rim upwards", (16, 28)),
        line((8, bench_y), (312, bench_y), thin=True),
        label("from the edge to the magnet’s middle", (16, 212)),
    )
    return Drawing(
        "rim_to_magnet",
        "From the rim’s edge to the middle of the magnet",
        told_later(
            "The flywheel lies on its face with the rim upwards. From the rim’s edge down to the middle of the magnet"
            " it is 9 millimetres."
        ),
        222,
        marks,
    )


def _pickup_height() -> Drawing:
    marks = joined(
        _case(),
        _crank(),
        _plate(0, red=False),
        _middle(PICKUP_MM, POLE_FROM_MM, 54),
        _upright(51, 0, PICKUP_MM, red=True),
        label("{mm} mm", (at(51, 0)[0] - 8, at(0, 17)[1]), anchor="middle", red=True, mm=f"{PICKUP_MM:g}"),
        label("from the face to the pickup’s middle", (12, 240)),
        label("plate on, flywheel off", (60, 40)),
    )
    return Drawing(
        "face_to_pickup",
        "From the crankcase face to the middle of the pickup",
        told_later(
            "The stator plate is on and the flywheel off. From the crankcase face up to the middle of the pickup it "
            "is 11.7 millimetres."
        ),
        250,
        marks,
    )


def _packed() -> Drawing:
    chosen = STACK.stack_mm or ()
    foot, layers = 0.0, []
    for thick_mm in chosen:
        layers.append(_rectangle(9, foot, PLATE_REACH_MM, foot + thick_mm, red=True))
        foot += thick_mm
    marks = joined(
        _case(),
        _crank(),
        _flywheel(),
        layers,
        _plate(foot, red=False),
        _middle(MAGNET_MM, 28, 60),
        labelled("level", (84, 136), at(28, MAGNET_MM)),
        labelled("packers, {mm} mm in all", (60, 240), at(20, foot / 2), red=True, mm=f"{foot:g}"),
    )
    return Drawing(
        "packed",
        "Packers under the plate, pickup and magnet level",
        told_later(
            "The whole section again. Packers of 1.3 millimetres in all lie under the stator plate, and one line runs"
            " through the middles of pickup and magnet."
        ),
        250,
        marks,
    )


def _fitted() -> Drawing:
    middle = (120.0, 112.0)
    marks = joined(
        circle(*middle, 92),
        circle(*middle, 78),
        circle(*middle, 26),
        circle(*middle, 15),
        shape(*(polar(middle, 12, turn) for turn in range(30, 390, 60))),
        circle(*middle, 5),
        box(116, 93, 8, 7, red=True, solid=True),
        turning(middle, 54, -60, 50),
        label("by hand", (120, 52), anchor="middle"),
        labelled("key", (226, 60), (124, 96), red=True),
        labelled("nut, to its torque", (150, 230), (126, 122)),
    )
    return Drawing(
        "fitted",
        "The flywheel back on its key",
        told_later(
            "The flywheel from the front. The key sits in its slot between shaft and hub and the nut is on. An arrow "
            "shows the flywheel turned by hand."
        ),
        240,
        marks,
    )


DRAWINGS = (_parts(), _magnet_height(), _rim_to_magnet(), _pickup_height(), _packed(), _fitted())
