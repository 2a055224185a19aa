"""Drawings of an air leak: where a two-stroke leaks, revs that hang, the pressure test, and what bubbles show."""

from __future__ import annotations

import math

from diagnostics.core.guides.pen import Drawing, Mark, arc, box, circle, joined, label, labelled, line, shape, trace
from garage.core.text.languages import told_later

SHUTS_S, SHOWN_S = 1.0, 4.0  # s: where the throttle is shut in the drawing, and its length
TICKOVER_RPM, TOP_RPM = 1400, 6000  # rpm, of an invented engine
FALLS_S, HANGS_S = 0.35, 0.9  # s, in which the revs fall to a third of the way, sound and leaking


def revs(at_s: float, hangs: bool) -> float:
    """Engine speed after the throttle is shut: it falls evenly, or hangs for a second before it does."""
    since_s = at_s - SHUTS_S - (0.9 if hangs else 0.0)
    if since_s <= 0:
        return TOP_RPM - (900 * max(at_s - SHUTS_S, 0) if hangs else 0)
    top = TOP_RPM - (900 * 0.9 if hangs else 0)
    return TICKOVER_RPM + (top - TICKOVER_RPM) * math.exp(-since_s / (HANGS_S if hangs else FALLS_S))


def engine() -> tuple[Mark, ...]:
    """A two-stroke single from its side: cylinder, crankcase, intake rubber to the right, exhaust to the left."""
    fins = [line((116, 42 + 12 * fin), (204, 42 + 12 * fin)) for fin in range(5)]
    return joined(
        box(132, 26, 56, 74),
        fins,
        box(128, 14, 64, 12),
        box(152, 4, 16, 10),
        line((116, 104), (204, 104)),
        shape((124, 104), (196, 104), (212, 136), (204, 176), (160, 190), (116, 176), (108, 136)),
        circle(160, 144, 16),
        circle(160, 144, 6),
        line((188, 84), (212, 76)),
        line((188, 100), (212, 94)),
        box(212, 68, 22, 32),
        line((132, 78), (104, 84)),
        line((132, 96), (104, 104)),
    )


def _places() -> Drawing:
    marks = joined(
        engine(),
        box(234, 58, 44, 52, round_by=4),
        labelled("intake rubber", (208, 30), (223, 68), red=True),
        labelled("head", (60, 20), (128, 20), anchor="end", red=True),
        labelled("base gasket", (4, 60), (118, 104), red=True),
        labelled("seals of the crank", (4, 204), (150, 154), red=True),
        labelled("case joint", (224, 204), (196, 178), red=True),
        label("carburettor", (222, 130)),
        label("exhaust", (40, 100)),
    )
    return Drawing(
        "places",
        "Where a two-stroke draws false air",
        told_later(
            "A two-stroke single from its side. Red names mark where it leaks: intake rubber, head, base gasket, the "
            "joint of the crankcase and the seals at both ends of the crank."
        ),
        210,
        marks,
    )


def _hangs() -> Drawing:
    left, ground, high = 20, 150, 24

    def at(at_s: float, rpm: float) -> tuple[float, float]:
        return left + 280 * at_s / SHOWN_S, ground - (ground - high) * rpm / 6400

    steps = [step * 0.05 for step in range(int(SHOWN_S / 0.05) + 1)]
    marks = joined(
        line((left, 12), (left, ground), (308, ground)),
        trace([at(s, revs(s, hangs=False)) for s in steps]),
        trace([at(s, revs(s, hangs=True)) for s in steps], red=True),
        line((at(SHUTS_S, 0)[0], ground), (at(SHUTS_S, 0)[0], 14), thin=True, dashed=True),
        label("throttle shut", (at(SHUTS_S, 0)[0], ground + 17), anchor="middle"),
        labelled("hangs: leak", (196, 38), at(2.1, revs(2.1, hangs=True)), red=True),
        labelled("falls: sound", (150, 144), at(1.75, revs(1.75, hangs=False))),
        label("rpm", (26, 22)),
        label("s", (308, ground + 17), anchor="end"),
    )
    return Drawing(
        "hangs",
        "How the revs fall when the throttle shuts",
        told_later(
            "Engine speed over four seconds. A sound engine falls at once to its tickover. One that draws false air, "
            "in red, hangs up for a second and falls slowly."
        ),
        174,
        marks,
    )


def _test() -> Drawing:
    marks = joined(
        engine(),
        box(234, 66, 12, 36, solid=True),
        box(92, 78, 12, 32, solid=True),
        line((246, 84), (262, 84), (262, 118)),
        circle(262, 140, 22),
        line((262, 140), (254, 126)),
        line((284, 140), (296, 140)),
        box(296, 128, 20, 24),
        labelled("hand pump", (232, 181), (306, 152)),
        label("0.4 bar, no more", (317, 198), anchor="end", red=True),
        labelled("blanked", (4, 60), (98, 78)),
        label("carburettor", (214, 40)),
        label("taken off", (214, 56)),
    )
    return Drawing(
        "test",
        "The pressure test of a workshop",
        told_later(
            "The same engine with its carburettor off, and intake rubber and exhaust blanked. A hand pump and a gauge"
            " are joined to it. The gauge shows 0.4 bar, and it is pumped no higher."
        ),
        203,
        marks,
    )


def _bubbles() -> Drawing:
    foam = [(60, 60, 5), (70, 52, 7), (82, 62, 6), (76, 70, 4), (64, 72, 6), (88, 50, 4)]
    marks = joined(
        circle(100, 92, 58),
        circle(100, 92, 34),
        circle(100, 92, 16),
        *(circle(x, y, r, red=True) for x, y, r in foam),
        labelled("seal", (8, 166), (100, 126)),
        labelled("crank", (170, 166), (108, 106)),
        labelled("bubbles: here", (176, 40), (88, 52), red=True),
        arc((240, 104), 30, 200, 520, thin=True),
        line((240, 104), (252, 86)),
        label("needle falls", (240, 148), anchor="middle"),
    )
    return Drawing(
        "bubbles",
        "What soapy water shows",
        told_later(
            "The end of the crank with its seal, brushed with soapy water. Bubbles grow at one place of the seal, "
            "drawn red, while the needle of the gauge falls."
        ),
        176,
        marks,
    )


DRAWINGS = (_hangs(), _places(), _test(), _bubbles())
