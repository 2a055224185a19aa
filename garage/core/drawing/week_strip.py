"""A place's day as a ruled strip: a rule as long as its minutes, with a mark each hour, and what is taken of them.

Lengths are pixels of the drawing's viewBox. It holds no text, so that it can be any width: the words stand beside it.
Each share is told by its shape: full, in a broken outline, hatched, or bare.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from garage.core.planning.week import PlaceSums

WIDTH, HEIGHT, MARGIN = 720, 24, 1
LINE_Y, BAR_PX, MARK_PX = 15, 9, 5  # a bar is thinner than the letters beside it
HATCH_PX = 4
HOUR_MIN = 60


@dataclass(frozen=True, slots=True)
class StripBar:
    """kind: sold, risky or kept."""

    x: float
    width: float
    kind: str


@dataclass(frozen=True, slots=True)
class WeekStrip:
    """line: where the rule ends. marks: the x of each hour. hatches: the x of each stroke through what is kept."""

    line: float
    marks: tuple[float, ...]
    bars: tuple[StripBar, ...]
    hatches: tuple[float, ...]
    width: int = WIDTH
    height: int = HEIGHT
    line_y: int = LINE_Y
    marks_to_y: int = LINE_Y + MARK_PX
    bar_y: int = LINE_Y - 1 - BAR_PX
    bar_height: int = BAR_PX


def drawn(sums: PlaceSums, longest_min: int) -> WeekStrip:
    """longest_min: the minutes that the whole width stands for, so that the days of a week compare.

    >>> strip = drawn(PlaceSums("roller", 120, 60, 0, 30, 30), longest_min=120)
    >>> strip.line, strip.marks, [(bar.kind, bar.x, bar.width) for bar in strip.bars]
    (719.0, (1.0, 360.0, 719.0), [('sold', 1.0, 359.0), ('kept', 360.0, 179.5)])
    """
    px_a_min = (WIDTH - 2 * MARGIN) / max(1, longest_min)
    bars = tuple(_bars(sums, px_a_min))
    return WeekStrip(
        line=_x(sums.there_min, px_a_min),
        marks=tuple(_x(minute, px_a_min) for minute in range(0, sums.there_min + 1, HOUR_MIN)),
        bars=bars,
        hatches=tuple(x for bar in bars if bar.kind == "kept" for x in _hatches(bar)),
    )


def _bars(sums: PlaceSums, px_a_min: float) -> Iterator[StripBar]:
    at = 0
    shares = (
        ("sold", sums.sold_min - sums.risky_min),
        ("risky", sums.risky_min),
        ("kept", sums.held_min + sums.kept_min),
    )
    for kind, minutes in shares:
        if minutes > 0:
            yield StripBar(_x(at, px_a_min), round(minutes * px_a_min, 1), kind)
        at += minutes


def _hatches(bar: StripBar) -> Iterator[float]:
    for nth in range(1, int(bar.width // HATCH_PX) + 1):
        yield round(bar.x + nth * HATCH_PX, 1)


def _x(minute: int, px_a_min: float) -> float:
    return round(MARGIN + minute * px_a_min, 1)
