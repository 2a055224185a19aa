"""Drawings of earths and stop switch: the ring under its bolt, the way back of the spark, the switch and its plug."""

from __future__ import annotations

from diagnostics.core.guides.drawn.tools import meter
from diagnostics.core.guides.pen import Drawing, Mark, box, circle, hatched, joined, label, labelled, line
from garage.core.text.languages import told_later


def earth(x: float, y: float, *, red: bool = False) -> tuple[Mark, ...]:
    """The sign of the circuit diagrams: three lines, each shorter."""
    rungs = enumerate((14, 9, 4))
    return tuple(line((x - half, y + 6 * step), (x + half, y + 6 * step), red=red) for step, half in rungs)


def _ring() -> Drawing:
    marks = joined(
        box(134, 30, 52, 26),
        line((148, 30), (148, 56), thin=True),
        line((172, 30), (172, 56), thin=True),
        box(146, 82, 28, 62),
        box(114, 58, 92, 10),
        box(108, 70, 104, 10),
        line((212, 75), (232, 72), (312, 72)),
        line((212, 79), (232, 82), (312, 82)),
        box(60, 84, 86, 40),
        box(174, 84, 86, 40),
        hatched(60, 84, 146, 124),
        hatched(174, 84, 260, 124),
        line((62, 82), (106, 82), red=True, dashed=True),
        labelled("toothed washer", (8, 24), (116, 62)),
        labelled("ring of the lead", (180, 24), (204, 74)),
        labelled("paint or rust: off", (8, 154), (84, 82), red=True),
        labelled("frame or engine", (180, 154), (220, 110)),
    )
    return Drawing(
        "ring",
        "A good earth",
        told_later(
            "A bolt holds the ring of an earth lead on the metal of frame or engine, with a toothed washer above it. "
            "Paint and rust, drawn red, are cleaned off below the ring."
        ),
        164,
        marks,
    )


def _path() -> Drawing:
    marks = joined(
        box(6, 40, 58, 34),
        label("stator", (35, 62), anchor="middle"),
        box(86, 40, 44, 34),
        label("unit", (108, 62), anchor="middle"),
        box(152, 40, 60, 34),
        label("coil", (182, 62), anchor="middle"),
        box(234, 40, 80, 34),
        label("plug", (274, 62), anchor="middle"),
        line((64, 57), (86, 57)),
        line((130, 57), (152, 57)),
        line((212, 57), (234, 57)),
        *(line((x, 74), (x, 120), red=True) for x in (35, 108, 182, 274)),
        line((35, 120), (274, 120), red=True),
        label("out", (160, 28), anchor="middle"),
        label("and back through engine and frame", (160, 142), anchor="middle", red=True),
        label("bad earth: weak spark", (160, 158), anchor="middle", red=True),
    )
    return Drawing(
        "path",
        "The way of the spark, and its way back",
        told_later(
            "Stator, ignition unit, coil and plug stand in a row, joined by wires. Each of the four has a red line "
            "down to the metal of engine and frame, through which the current comes back. A bad earth anywhere in it "
            "makes a weak spark."
        ),
        166,
        marks,
    )


def _measure() -> Drawing:
    marks = joined(
        meter(96, 62, "0.2 Ω"),
        line((112, 84), (46, 84), (46, 46)),
        line((208, 84), (274, 84), (274, 46), red=True),
        box(14, 16, 64, 30),
        label("engine", (46, 36), anchor="middle"),
        box(242, 16, 64, 30),
        label("frame", (274, 36), anchor="middle"),
        label("probes together first", (160, 176), anchor="middle"),
    )
    return Drawing(
        "measure",
        "The earth on the meter",
        told_later(
            "A meter set to ohms. One probe is on bare metal of the engine, the other on bare metal of the frame. It "
            "shows 0.2 ohms. Before that its probes were held together, to see what they read by themselves."
        ),
        184,
        marks,
    )


def _switch() -> Drawing:
    marks = joined(
        box(8, 30, 58, 40),
        label("unit", (37, 55), anchor="middle"),
        line((66, 50), (124, 50)),
        box(124, 40, 20, 20),
        box(148, 40, 20, 20),
        line((168, 50), (232, 50)),
        circle(236, 50, 4),
        circle(272, 50, 4),
        line((239, 47), (268, 32)),
        line((276, 50), (296, 50), (296, 84)),
        earth(296, 84),
        label("stop switch", (210, 20)),
        labelled("unplug here", (88, 98), (146, 60), red=True),
        line((212, 50), (212, 110), red=True, dashed=True),
        earth(212, 112, red=True),
        label("water or a chafed lead", (206, 148), anchor="middle", red=True),
        label("earths the spark", (206, 164), anchor="middle", red=True),
    )
    return Drawing(
        "switch",
        "How a stop switch stops the engine",
        told_later(
            "From the ignition unit a lead goes through a connector to the stop switch, and from there to earth. "
            "Closed, the switch earths the ignition and the engine stops. Water in it or a chafed lead, drawn red, "
            "does the same a little. The connector is where it is unplugged for the test."
        ),
        172,
        marks,
    )


DRAWINGS = (_path(), _ring(), _measure(), _switch())
