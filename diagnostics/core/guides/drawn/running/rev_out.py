"""Drawings of the rev-out: the machine on its stand, the throttle over three seconds, and what the revs then do."""

from __future__ import annotations

import math
from collections.abc import Callable

from diagnostics.core.guides.drawn import machine
from diagnostics.core.guides.pen import (
    Drawing,
    Mark,
    arrow,
    box,
    hatched,
    joined,
    label,
    labelled,
    line,
    measure,
    trace,
)
from garage.core.text.languages import told_later

OPENS_S, HELD_S, SHOWN_S = 1.0, 2.5, 5.0  # s: opened over a second, held for two to three; the garage's rule
TICKOVER_RPM, PEAK_RPM, CEILING_RPM = 1400, 8800, 5200  # rpm, of an invented machine
BEGINS_S = 0.5  # s of tickover before the throttle is opened


def throttle(at_s: float) -> float:
    """How far open it is, 0 to 1, at_s seconds after the drawing begins."""
    shuts_s = BEGINS_S + OPENS_S + HELD_S
    return max(0.0, min(1.0, (at_s - BEGINS_S) / OPENS_S, (shuts_s + 0.2 - at_s) / 0.2))


def _stand() -> Drawing:
    marks = joined(
        machine.machine(),
        line((8, 190), (312, 190)),
        labelled("rear wheel clear", (8, 224), (70, 186)),
        labelled("stand", (150, 224), (120, 186)),
        labelled("neutral", (312, 224), (150, 152), anchor="end"),
        labelled("hot", (44, 72), (52, 140), anchor="end", red=True),
    )
    return Drawing(
        "stand",
        "The machine on its stand for the rev-out",
        told_later(
            "A small motorcycle from its right, on its centre stand. The rear wheel turns clear of the ground and the"
            " gearbox is in neutral. The exhaust is marked as hot."
        ),
        240,
        marks,
    )


def _around() -> Drawing:
    marks = joined(
        machine.from_above(),
        box(24, 64, 58, 72, red=True),
        hatched(24, 64, 82, 136),
        label("nobody here", (8, 46), red=True),
        labelled("flywheel side clear", (132, 46), (166, 84)),
        box(180, 188, 20, 10, round_by=2),
        label("phone", (208, 198)),
        measure((190, 120), (190, 184)),
        label("2 m", (200, 158)),
    )
    return Drawing(
        "around",
        "Who and what stands where",
        told_later(
            "The machine from above. The space behind the rear wheel is marked: nobody stands there. The flywheel "
            "side is clear as well. A phone lies two metres to the other side."
        ),
        216,
        marks,
    )


def _throttle() -> Drawing:
    left, right, shut, opened = 20, 308, 150, 50

    def x(at_s: float) -> float:
        return left + (right - left) * at_s / SHOWN_S

    points = [(x(at_s), shut - (shut - opened) * throttle(at_s)) for at_s in (0, 0.5, 1.5, 4.0, 4.2, SHOWN_S)]
    full, ends = x(BEGINS_S + OPENS_S), x(BEGINS_S + OPENS_S + HELD_S)
    marks = joined(
        line((left, shut + 12), (right, shut + 12), thin=True),
        trace(points, red=True),
        label("fully open", ((full + ends) / 2, opened - 12), anchor="middle", red=True),
        label("shut", (2, shut - 8)),
        measure((x(BEGINS_S), 180), (full, 180)),
        label("1 s", ((x(BEGINS_S) + full) / 2, 200), anchor="middle"),
        measure((full, 180), (ends, 180)),
        label("2 to 3 s", ((full + ends) / 2, 200), anchor="middle"),
    )
    return Drawing(
        "throttle",
        "The throttle over the rev-out",
        told_later(
            "A curve of the throttle over time. From shut it opens fully over one second, is held fully open for two "
            "to three seconds, and is snapped shut."
        ),
        212,
        marks,
    )


def clean(at_s: float) -> float:
    """The revs, in rpm, of an engine that is right, at_s seconds after the drawing begins."""
    return TICKOVER_RPM + (PEAK_RPM - TICKOVER_RPM) * _climb(at_s)


def _rich(at_s: float) -> float:
    return clean(at_s) - 700 * _climb(at_s) * (1 + math.sin(2 * math.pi * 4.5 * at_s)) * throttle(at_s)


def ceiling(at_s: float) -> float:
    """The revs, in rpm, of one whose spark breaks down at a ceiling."""
    stutter = 900 * abs(math.sin(2 * math.pi * 1.6 * at_s)) * throttle(at_s)
    return min(clean(at_s), TICKOVER_RPM + (CEILING_RPM - stutter - TICKOVER_RPM) * _slowing(at_s))


def _dies(at_s: float) -> float:
    sinks = max(0.0, min(1.0, (at_s - 1.1) / 1.6))
    return min(clean(at_s), TICKOVER_RPM + (2800 - 1500 * sinks) * _slowing(at_s))


def _climb(at_s: float) -> float:
    """0 at tickover to 1 at peak revs: behind the throttle on the way up, slower on the way down."""
    return (1 - math.exp(-(max(0.0, at_s - BEGINS_S) ** 2) / 0.7)) * _slowing(at_s)


def _slowing(at_s: float) -> float:
    """1 until the throttle is shut, then down towards 0."""
    return math.exp(-max(0.0, at_s - BEGINS_S - OPENS_S - HELD_S) / 0.5)


def _panel(left: float, top: float, words: str, revs: Callable[[float], float], red: bool) -> tuple[Mark, ...]:
    width, height, steps = 136, 74, 120

    def point(step: int) -> tuple[float, float]:
        at_s = SHOWN_S * step / steps
        return left + width * step / steps, top + 20 + height * (1 - (revs(at_s) - 800) / (PEAK_RPM - 800))

    return joined(
        label(words, (left, top + 8), red=red),
        line((left, top + 20 + height), (left + width, top + 20 + height), thin=True),
        line((left, top + 20), (left + width, top + 20), thin=True, dashed=True),
        trace([point(step) for step in range(steps + 1)], red=red),
    )


def _revs() -> Drawing:
    marks = joined(
        _panel(12, 8, told_later("clean"), clean, red=False),
        _panel(172, 8, told_later("lumpy, gets there"), _rich, red=False),
        _panel(12, 122, told_later("ceiling, stutters"), ceiling, red=True),
        _panel(172, 122, told_later("falls away"), _dies, red=True),
        arrow((12, 232), (90, 232)),
        label("time", (98, 237)),
    )
    return Drawing(
        "revs",
        "Four ways in which the revs answer",
        told_later(
            "Four curves of the revs over the same five seconds; a broken line marks peak revs. Clean: up smoothly "
            "and held at the top. Lumpy: wavering, but it gets to the top. Ceiling: stopped well below the top, where"
            " it stutters. Falls away: it climbs a little, then sinks with the throttle still open."
        ),
        246,
        marks,
    )


DRAWINGS = (_stand(), _around(), _throttle(), _revs())
