"""Drawings of jets: a ceiling that no jet moves, number and bore, what less fuel does, a piston that seized."""

from __future__ import annotations

import math

from diagnostics.core.guides.drawn.running.rev_out import PEAK_RPM, SHOWN_S, ceiling
from diagnostics.core.guides.pen import (
    Drawing,
    Mark,
    Point,
    arrow,
    bend,
    box,
    circle,
    hatched,
    joined,
    label,
    labelled,
    line,
    shape,
    trace,
)
from garage.core.text.languages import told_later

OLD_JET, SMALLER_JET, SMALLEST_JET = 102, 98, 94  # hundredths of a mm of bore, of an invented engine


def fuel_share(jet: float, beside: float) -> float:
    """Fuel through a jet as a share of that through another, both numbered by their bore.

    Source: at the same suction the flow goes with the area of the bore (Bernoulli).

    >>> round(fuel_share(94, beside=102), 2)
    0.85
    """
    return (jet / beside) ** 2


def _panel(top: float, jet: int) -> tuple[Mark, ...]:
    left, right, height = 86.0, 308.0, 50.0

    def at(at_s: float, rpm: float) -> Point:
        return left + (right - left) * at_s / SHOWN_S, top + height * (1 - (rpm - 800) / (PEAK_RPM - 800))

    steps = [SHOWN_S * step / 120 for step in range(121)]
    return joined(
        label("jet {jet}", (8, top + height - 6), jet=f"{jet}"),
        line(at(0, 800), at(SHOWN_S, 800), thin=True),
        line(at(0, PEAK_RPM), at(SHOWN_S, PEAK_RPM), thin=True, dashed=True),
        trace([at(at_s, ceiling(at_s)) for at_s in steps], red=True),
    )


def _ceilings() -> Drawing:
    marks = joined(
        label("peak revs", (308, 20), anchor="end"),
        _panel(28, OLD_JET),
        _panel(98, SMALLER_JET),
        _panel(168, SMALLEST_JET),
        label("same ceiling each time", (86, 240), red=True),
    )
    return Drawing(
        "ceilings",
        "One ceiling with three main jets",
        told_later(
            "Three curves of the revs, with main jets 102, 98 and 94. Each stops and stutters at the same speed, well"
            " below peak revs."
        ),
        250,
        marks,
    )


def _jet() -> Drawing:
    top, bottom = 40.0, 176.0
    marks = joined(
        shape((84, top), (156, top), (156, 84), (144, 90), (144, bottom), (96, bottom), (96, 90), (84, 84)),
        line((104, top), (104, 84), thin=True),
        line((136, top), (136, 84), thin=True),
        [line((96, y), (144, y - 5), thin=True) for y in range(100, 180, 8)],
        line((116, top), (116, bottom), dashed=True),
        line((124, top), (124, bottom), dashed=True),
        label(str(OLD_JET), (62, 70), anchor="end", bold=True),
        line((66, 65), (88, 65), thin=True),
        labelled("hexagon", (190, 62), (152, 66)),
        labelled("thread", (190, 120), (144, 122)),
        labelled("bore", (190, 158), (124, 160), red=True),
        label("number", (62, 88), anchor="end"),
        label("read it, and write it down", (50, 210)),
    )
    return Drawing(
        "jet",
        "A main jet and its number",
        told_later(
            "A main jet from the side: a hexagon with its number, here 102, a thread, and the fine bore through the "
            "middle."
        ),
        220,
        marks,
    )


def _bores() -> Drawing:
    per_mm, y = 108.0, 100.0
    share = round(100 * fuel_share(SMALLEST_JET, beside=OLD_JET))
    old, small = (per_mm * jet / 200 for jet in (OLD_JET, SMALLEST_JET))
    bar = 140.0
    marks = joined(
        circle(84, y, old),
        circle(232, y, small),
        label("jet {jet}", (84, 26), anchor="middle", jet=f"{OLD_JET}"),
        label("jet {jet}", (232, 26), anchor="middle", jet=f"{SMALLEST_JET}"),
        label("{mm} mm", (84, y + 5), anchor="middle", mm=f"{OLD_JET / 100:.2f}"),
        label("{mm} mm", (232, y + 5), anchor="middle", mm=f"{SMALLEST_JET / 100:.2f}"),
        box(14, 176, bar, 12),
        hatched(14, 176, 14 + bar, 188, step=6),
        box(164, 176, bar * share / 100, 12, red=True),
        hatched(164, 176, 164 + bar * share / 100, 188, step=6),
        label("fuel {share}", (84, 208), anchor="middle", share="100"),
        label("fuel {share}", (226, 208), anchor="middle", red=True, share=f"{share}"),
    )
    return Drawing(
        "bores",
        "Eight numbers smaller, fifteen per cent less fuel",
        told_later(
            "The bores of jets 102 and 94 side by side, to scale: they hardly look different. Bars below show the "
            "fuel that flows: 100 through the larger, 85 through the smaller."
        ),
        218,
        marks,
    )


def _heat() -> Drawing:
    left, right, bottom = 24.0, 306.0, 170.0

    def at(lean: float) -> Point:
        """lean: 0 richest to 1 leanest that still fires. Its shape only: hottest a little lean of best."""
        return left + (right - left) * lean, bottom - 24 - 104 * math.exp(-(((lean - 0.72) / 0.3) ** 2))

    rich, leaner = at(0.3), at(0.66)
    marks = joined(
        line((left, 20), (left, bottom), (right, bottom), thin=True),
        trace([at(step / 60) for step in range(61)]),
        circle(*rich, 4, solid=True),
        circle(*leaner, 4, red=True, solid=True),
        arrow((rich[0] + 6, rich[1] - 16), (leaner[0] - 22, leaner[1] + 6), red=True),
        label("right jet", (rich[0] - 6, rich[1] - 10), anchor="end"),
        label("too small", (leaner[0] + 2, leaner[1] - 14), red=True),
        label("heat in the piston", (left + 8, 28)),
        label("more fuel", (left, bottom + 20)),
        label("less fuel", (right, bottom + 20), anchor="end"),
    )
    return Drawing(
        "heat",
        "Less fuel, more heat",
        told_later(
            "Heat in the piston against fuel, without figures. With the right jet the engine sits on the cool side of"
            " a hill. A smaller jet moves it towards the top, where the piston is hottest."
        ),
        200,
        marks,
    )


def _piston() -> Drawing:
    lengths = (
        (104, 164),
        (109, 157),
        (105, 150),
        (110, 143),
        (106, 159),
        (111, 152),
        (107, 145),
        (103, 161),
        (108, 154),
    )
    scuffs = [
        line((104 + 9 * place, top), (105 + 9 * place, foot), red=True, thin=place % 2 == 1)
        for place, (top, foot) in enumerate(lengths)
    ]
    marks = joined(
        bend((60, 48), (142, 28), (224, 48)),
        line((60, 48), (60, 190), (224, 190), (224, 48)),
        line((60, 62), (224, 62)),
        line((60, 68), (224, 68)),
        line((60, 80), (224, 80)),
        line((60, 86), (224, 86)),
        bend((108, 190), (142, 158), (176, 190)),
        scuffs,
        labelled("rings", (240, 60), (222, 65)),
        labelled("smeared metal", (70, 222), (120, 150), red=True),
        label("exhaust side", (142, 20), anchor="middle"),
    )
    return Drawing(
        "piston",
        "A piston that seized",
        told_later(
            "A piston from the exhaust side. Below the rings, metal is smeared in upright streaks where it stuck to "
            "the bore."
        ),
        232,
        marks,
    )


DRAWINGS = (_ceilings(), _bores(), _heat(), _piston(), _jet())
