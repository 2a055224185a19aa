"""Drawings of measuring windings: where the probes go, what heat does to copper, warming it, and peak volts."""

from __future__ import annotations

import math

from diagnostics.core.guides.drawn.tools import meter
from diagnostics.core.guides.pen import Drawing, Mark, arc, box, circle, joined, label, labelled, line, trace
from garage.core.text.languages import told_later

COPPER_FROM_C = -234.5  # °C, where copper's resistance, drawn on as a straight line, would be none: IEC 60028
ROOM_C = 20.0  # °C, at which windings are given
PICKUP_OHM, FAILS_C = 300.0, 70.0  # of an invented pickup that fails hot


def copper_ohm(at_room_ohm: float, at_c: float) -> float:
    """What a winding of copper reads at another temperature, Ω. at_room_ohm: at 20 °C. at_c: °C.

    Source: IEC 60028, R = R20 (234.5 + t) / 254.5.

    >>> round(copper_ohm(300, 80)), round(copper_ohm(4, 100), 2)
    (371, 5.26)
    """
    return at_room_ohm * (at_c - COPPER_FROM_C) / (ROOM_C - COPPER_FROM_C)


def _winding(x: float, y: float, turns: int = 5) -> tuple[Mark, ...]:
    """Loops to the right from x, 12 units each."""
    return tuple(arc((x + 6 + 12 * turn, y), 6, -90, 90) for turn in range(turns))


def _probes() -> Drawing:
    marks = joined(
        box(8, 18, 96, 66, round_by=6),
        _winding(26, 56),
        line((26, 56), (16, 56), (16, 72)),
        line((86, 56), (124, 56)),
        label("winding", (56, 38), anchor="middle"),
        box(124, 46, 20, 20),
        box(180, 46, 20, 20),
        line((200, 56), (250, 56)),
        box(250, 36, 60, 40),
        label("unit", (280, 61), anchor="middle"),
        label("plug apart", (162, 36), anchor="middle", red=True),
        meter(96, 108, "300 Ω"),
        line((112, 130), (56, 130), (56, 84)),
        line((208, 130), (236, 130), (236, 92), (146, 92), (146, 64), red=True),
        labelled("on its earth", (4, 196), (56, 100)),
    )
    return Drawing(
        "probes",
        "Where the probes go",
        told_later(
            "The connector between winding and ignition unit is apart. One probe is in the winding’s half of it, the "
            "other on bare metal where the winding is earthed. The meter shows 300 ohms."
        ),
        206,
        marks,
    )


def _heat() -> Drawing:
    left, right, ground, high = 44, 306, 176, 20

    def at(temperature_c: float, ohm: float) -> tuple[float, float]:
        return left + (right - left) * temperature_c / 110, ground - (ground - high) * (ohm - 200) / 240

    sound = [at(c, copper_ohm(PICKUP_OHM, c)) for c in range(5, 101, 5)]
    warm = [at(c, copper_ohm(PICKUP_OHM, c)) for c in range(5, int(FAILS_C) + 1, 5)]
    marks = joined(
        line((left, high), (left, ground), (right, ground)),
        trace(sound),
        line(warm[-1], at(FAILS_C, 440), red=True),
        *(label(str(c), (at(c, 200)[0], ground + 17), anchor="middle") for c in (20, 40, 60, 80, 100)),
        *(label(str(ohm), (left - 4, at(0, ohm)[1] + 5), anchor="end") for ohm in (200, 300, 400)),
        label("Ω", (left - 4, high + 4), anchor="end"),
        label("°C", (300, ground + 17)),
        line((left, at(0, 300)[1]), at(20, 300), at(20, 200), thin=True, dashed=True),
        line((left, at(0, copper_ohm(300, 80))[1]), at(80, copper_ohm(300, 80)), at(80, 200), thin=True, dashed=True),
        label("fails hot: opens", (at(FAILS_C, 0)[0] - 6, 34), anchor="end", red=True),
        labelled("good: even rise", (98, 160), at(56, copper_ohm(PICKUP_OHM, 56))),
    )
    return Drawing(
        "heat",
        "What heat does to a winding",
        told_later(
            "Resistance against temperature. A good winding of 300 ohms at 20 degrees rises along a straight line to "
            "371 ohms at 80 degrees. One that fails hot, in red, follows the line up to about 70 degrees and then "
            "jumps to an open circuit."
        ),
        200,
        marks,
    )


def _warm() -> Drawing:
    wisps = [
        [(132 + step * 2, 66 + 14 * row + 4 * math.sin(step / 3)) for step in range(26)] for row in range(3)
    ]  # warm air
    marks = joined(
        box(12, 52, 80, 52, round_by=14),
        box(92, 60, 24, 36),
        line((36, 104), (30, 152), (54, 152), (58, 104)),
        *(trace(wisp, red=True) for wisp in wisps),
        box(196, 50, 70, 56, round_by=6),
        _winding(204, 82, 4),
        line((266, 70), (312, 70)),
        line((266, 90), (312, 90)),
        line((236, 50), (246, 30)),
        circle(249, 24, 6),
        labelled("80 °C, no more", (228, 28), (244, 24), anchor="end"),
        labelled("hair dryer", (84, 148), (70, 104)),
        labelled("probes stay on", (188, 148), (290, 90)),
    )
    return Drawing(
        "warm",
        "Warming a part while it is measured",
        told_later(
            "A hair dryer blows warm air on a winding. A thermometer stands on the part, which gets no hotter than 80"
            " degrees. The probes stay connected all the time."
        ),
        164,
        marks,
    )


def _peak() -> Drawing:
    marks = joined(
        meter(180, 24, "2.6 V"),
        box(92, 30, 58, 34),
        label("holds", (121, 44), anchor="middle"),
        label("peaks", (121, 59), anchor="middle"),
        line((150, 40), (170, 40), (170, 46), (196, 46)),
        line((150, 56), (166, 56), (166, 132), (316, 132), (316, 46), (296, 46), red=True),
        line((92, 40), (14, 40), (14, 60)),
        line((92, 56), (60, 56), (60, 60)),
        _winding(8, 74, 5),
        line((14, 60), (8, 74)),
        line((60, 60), (68, 74)),
        label("winding", (8, 104)),
        label("kick it over smartly", (8, 150)),
        label("plug in its hole", (8, 166)),
    )
    return Drawing(
        "peak",
        "Peak volts on the kickstart",
        told_later(
            "A winding is connected to a peak-voltage adapter and that to a meter for direct volts. While the engine "
            "is kicked over with its plug in, the meter holds the highest volts: 2.6."
        ),
        174,
        marks,
    )


DRAWINGS = (_probes(), _heat(), _warm(), _peak())
