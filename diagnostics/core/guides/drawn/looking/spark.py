"""Drawings of plug, cap and lead: the gap, the lead's end, the cap on a meter, the spark across a tester."""

from __future__ import annotations

from diagnostics.core.guides.drawn.tools import meter
from diagnostics.core.guides.pen import Drawing, Mark, box, circle, joined, label, labelled, line, measure, shape
from garage.core.text.languages import told_later


def plug(x: float, y: float) -> tuple[Mark, ...]:
    """A plug that lies on its side, its terminal to the left at x, its axis at y; 258 units long."""

    def at(across: float, up: float) -> tuple[float, float]:
        return x + across, y - up

    ribs = [line(at(30 + 14 * rib, 11), at(30 + 14 * rib, -11), thin=True) for rib in range(5)]
    thread = [line(at(158 + 9 * turn, 17), at(164 + 9 * turn, -17), thin=True) for turn in range(8)]
    return joined(
        box(x, y - 7, 16, 14, round_by=3),
        shape(at(16, 10), at(100, 13), at(116, 22), at(116, -22), at(100, -13), at(16, -10)),
        ribs,
        box(x + 116, y - 28, 32, 56),
        line(at(116, 9), at(148, 9), thin=True),
        line(at(116, -9), at(148, -9), thin=True),
        box(x + 148, y - 21, 6, 42),
        box(x + 154, y - 17, 80, 34),
        thread,
        line(at(234, 3), at(246, 3), at(246, -3), at(234, -3)),
        line(at(234, -14), at(258, -14), at(258, 6)),
    )


def _gap() -> Drawing:
    marks = joined(
        plug(30, 80),
        labelled("terminal tight", (8, 40), (38, 74)),
        labelled("porcelain whole", (8, 150), (100, 91)),
        labelled("thread", (196, 150), (214, 97)),
        labelled("gap, by the handbook", (312, 20), (288, 76), anchor="end", red=True),
    )
    return Drawing(
        "gap",
        "A plug and its gap",
        told_later(
            "A plug on its side. From the left: the terminal, which must be tight, the porcelain, which must be "
            "whole, the hexagon and the thread. At the right the side electrode stands in front of the middle one. "
            "The gap between the two is set by bending the side electrode."
        ),
        158,
        marks,
    )


def _end() -> Drawing:
    screw = [line((190 + 8 * turn, 50), (196 + 8 * turn, 66), thin=True) for turn in range(5)]
    marks = joined(
        line((8, 48), (140, 48)),
        line((8, 68), (140, 68)),
        line((8, 58), (140, 58), dashed=True),
        line((140, 48), (140, 68)),
        line((116, 36), (116, 80), red=True, dashed=True),
        measure((116, 28), (140, 28), red=True),
        label("cut 5 mm off", (128, 16), anchor="middle", red=True),
        line((180, 42), (250, 42)),
        line((180, 74), (226, 74)),
        line((180, 42), (180, 74)),
        line((250, 42), (264, 56), (264, 152)),
        line((226, 74), (226, 152), (264, 152)),
        line((186, 58), (232, 58)),
        screw,
        line((245, 72), (245, 130)),
        box(240, 130, 10, 22),
        labelled("copper core", (8, 106), (60, 58)),
        labelled("rubber seal", (140, 144), (184, 74), anchor="end"),
        labelled("screw", (206, 20), (210, 52)),
    )
    return Drawing(
        "end",
        "The end of the lead and the cap",
        told_later(
            "The HT lead ends at the left, with its copper core. Five millimetres of it are marked to be cut off. At "
            "the right the cap stands open: its screw goes into the core, and its rubber seals on the lead."
        ),
        162,
        marks,
    )


def _ohms() -> Drawing:
    marks = joined(
        meter(96, 96, "5.0 kΩ"),
        box(100, 24, 96, 26, round_by=8),
        box(196, 18, 20, 38, round_by=4),
        line((110, 37), (128, 37)),
        box(128, 31, 40, 12),
        line((168, 37), (196, 37)),
        line((112, 118), (60, 118), (60, 37), (108, 37)),
        line((208, 118), (256, 118), (256, 37), (218, 37), red=True),
        label("cap", (148, 16), anchor="middle"),
        labelled("screw end", (8, 190), (60, 90)),
        labelled("plug end", (236, 190), (256, 90)),
    )
    return Drawing(
        "ohms",
        "The cap on the meter",
        told_later(
            "A meter set to kilohms. One lead touches the screw inside the cap, the other the spring that grips the "
            "plug. It shows 5.0 kilohms."
        ),
        200,
        marks,
    )


def _tester() -> Drawing:
    fins = [line((30, 96 + 14 * fin), (150, 96 + 14 * fin)) for fin in range(6)]
    marks = joined(
        fins,
        line((44, 90), (44, 172)),
        line((136, 90), (136, 172)),
        box(76, 66, 28, 26),
        box(82, 50, 16, 16),
        labelled("plug stays in", (8, 30), (86, 56)),
        box(196, 86, 12, 34),
        line((150, 124), (170, 124), (202, 124), (202, 120)),
        shape((144, 116), (164, 116), (164, 132), (144, 132)),
        line((202, 86), (202, 78), (196, 70)),
        line((202, 70), (210, 62), (200, 60), (208, 48), red=True),
        circle(208, 40, 4),
        line((212, 38), (266, 38), (312, 60)),
        measure((230, 46), (230, 74), red=True),
        label("6 mm", (240, 66), red=True),
        labelled("clamp: bare metal", (166, 168), (156, 132)),
        label("from the coil", (200, 26)),
    )
    return Drawing(
        "tester",
        "The spark across a tester",
        told_later(
            "The plug stays in the cylinder, so that no petrol mist comes out. The lead from the coil is on a gap "
            "tester, which is clamped to a fin of the cylinder, on bare metal. A spark jumps its gap of six "
            "millimetres."
        ),
        182,
        marks,
    )


DRAWINGS = (_gap(), _end(), _ohms(), _tester())
