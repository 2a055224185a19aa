"""Drawings of the plug chop: throttle, switch and clutch over time, the place to read, five noses, and the road."""

from __future__ import annotations

import math

from diagnostics.core.guides.pen import (
    Drawing,
    Mark,
    arrow,
    circle,
    hatched,
    joined,
    label,
    labelled,
    line,
    measure,
    shape,
    trace,
)
from garage.core.text.languages import told_later

HELD_S, SHOWN_S, CHOPPED_S = 10.0, 16.0, 12.0  # s: held at full throttle, and when it is chopped; common practice
ROAD_KMH = 100
M_A_SECOND = ROAD_KMH / 3.6  # m/s


def _chop() -> Drawing:
    left, right = 12, 308

    def x(at_s: float) -> float:
        return left + (right - left) * at_s / SHOWN_S

    opened, cut = x(CHOPPED_S - HELD_S), x(CHOPPED_S)
    rows = ((told_later("throttle"), 24), (told_later("spark"), 74), (told_later("clutch"), 124))
    levels = {
        "throttle": [(left, 56), (opened - 6, 56), (opened, 32), (cut, 32), (cut, 56), (right, 56)],
        "spark": [(left, 82), (cut, 82), (cut, 106), (right, 106)],
        "clutch": [(left, 156), (cut, 156), (cut, 132), (right, 132)],
    }
    marks = joined(
        *(label(name, (left, top)) for name, top in rows),
        *(trace(points, red=name == "spark") for name, points in levels.items()),
        line((cut, 12), (cut, 168), thin=True, dashed=True),
        measure((opened, 176), (cut, 176)),
        label("10 s at full load", ((opened + cut) / 2, 194), anchor="middle"),
        label("off", (cut + 8, 100), red=True),
        label("pulled", (cut + 8, 150)),
        label("shut", (cut + 8, 48)),
    )
    return Drawing(
        "chop",
        "Throttle, spark and clutch at the chop",
        told_later(
            "Three lines over time. The throttle is open for ten seconds at full load. Then, at one moment, the spark"
            " is switched off, the clutch is pulled and the throttle is shut."
        ),
        202,
        marks,
    )


def _place() -> Drawing:
    left = [(96, 36), (124, 36), (124, 150), (140, 168), (96, 168)]
    marks = joined(
        shape(*left),
        shape(*((320 - x, y) for x, y in left)),
        hatched(96, 36, 124, 168),
        hatched(196, 36, 224, 168),
        line((140, 168), (152, 28), (168, 28), (180, 168)),
        line((156, 28), (156, 14), (164, 14), (164, 28)),
        line((124, 150), (140, 168), red=True),
        line((196, 150), (180, 168), red=True),
        line((126, 158), (134, 166), red=True),
        line((194, 158), (186, 166), red=True),
        labelled("nose", (248, 90), (172, 86)),
        labelled("end of the thread", (4, 18), (106, 38)),
        labelled("the ring at its root", (8, 198), (132, 160), red=True),
    )
    return Drawing(
        "place",
        "Where a plug is read",
        told_later(
            "The end of a plug cut through. The porcelain nose stands in the middle of the threaded shell. The "
            "mixture shows as a ring at the root of the nose, deep inside. The end of the thread shows the heat of "
            "the head."
        ),
        206,
        marks,
    )


def _soot(x: float, y: float, r: float, step: float) -> tuple[Mark, ...]:
    """Thin slanting lines in a circle."""
    reach = int(r // step)
    offs = [step * number for number in range(-reach, reach + 1)]
    marks = []
    for off in offs:
        half, turn = math.sqrt(r * r - off * off), math.sqrt(0.5)
        marks.append(
            line(
                (x + turn * (off - half), y + turn * (off + half)),
                (x + turn * (off + half), y + turn * (off - half)),
                thin=True,
            )
        )
    return tuple(marks)


def _drop(x: float, y: float) -> Mark:
    return shape((x, y), (x + 5, y + 9), (x, y + 13), (x - 5, y + 9))


def _nose(x: float, y: float) -> tuple[Mark, ...]:
    return circle(x, y, 30), circle(x, y, 12), line((x - 4, y), (x + 4, y))


def _noses() -> Drawing:
    dots = [(266, 40), (258, 58), (280, 62), (284, 44), (272, 70), (254, 46)]
    marks = joined(
        _nose(52, 36),
        label("tan or grey", (52, 84), anchor="middle"),
        _nose(160, 36),
        _soot(160, 36, 29, 6),
        label("black, dry", (160, 84), anchor="middle"),
        _nose(266, 36),
        _soot(266, 36, 29, 3.5),
        _drop(250, 62),
        _drop(268, 67),
        _drop(282, 62),
        label("black, wet", (268, 100), anchor="middle"),
        _nose(98, 140),
        *(line((98 + x, 140 + y), (98 + x + 6, 140 + y + 5), red=True) for x, y in ((-20, -12), (10, 16), (8, -22))),
        label("white, blisters", (98, 188), anchor="middle", red=True),
        _nose(236, 140),
        *(circle(dot_x - 34, dot_y + 86, 2, red=True) for dot_x, dot_y in dots),
        label("metal specks", (236, 188), anchor="middle", red=True),
    )
    return Drawing(
        "noses",
        "Five noses",
        told_later(
            "Five plugs seen from their ends: tan or grey, black and dry, black and wet, white with blisters, with "
            "metal specks. The blisters and the specks are red: with those the engine is not run again."
        ),
        196,
        marks,
    )


def _road() -> Drawing:
    marks = joined(
        line((8, 120), (312, 120)),
        *(line((start, 132), (start + 18, 132), thin=True) for start in range(8, 300, 36)),
        *_rider(130),
        shape((232, 118), (232, 92), (250, 92), (258, 78), (292, 78), (304, 92), (312, 94), (312, 118), red=True),
        *arrow((226, 104), (176, 104), red=True),
        measure((40, 152), (170, 152)),
        label("{metres} m each second at {kmh} km/h", (8, 176), metres=f"{M_A_SECOND:.0f}", kmh=f"{ROAD_KMH}"),
        label("engine dead, looks down", (8, 24)),
        label("does not expect it", (164, 62), red=True),
    )
    return Drawing(
        "road",
        "Why not on the road",
        told_later(
            "A rider with a dead engine looks down at the switch. A car comes up from behind, whose driver does not "
            "expect it. At 100 kilometres an hour both cover 28 metres in each second."
        ),
        184,
        marks,
    )


def _rider(x: float) -> tuple[Mark, ...]:
    """On the way to the left; x: the middle of the rear wheel."""
    return joined(
        circle(x, 104, 16),
        circle(x - 66, 104, 16),
        line((x, 104), (x - 20, 84), (x - 52, 84), (x - 66, 104)),
        line((x - 52, 84), (x - 44, 70)),
        line((x - 18, 84), (x - 24, 62), (x - 40, 74)),
        circle(x - 32, 54, 8),
    )


DRAWINGS = (_road(), _chop(), _place(), _noses())
