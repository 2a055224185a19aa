"""Puts what lies on one track side by side or below one another: stays on lanes, promises and breaks on rows."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from garage.core.drawing.sheet import WAITING
from garage.core.drawing.stays import GAP_PX, UPPER_PX, Stay

BAR_PX = 8  # less than the height of the labels' capitals
WORKED_PX, NAMED_PX, BARE_PX = 27, 19, 9  # height of a lane with bars, with labels on thin lines, with lines only
END_HALF_PX = 7  # a number behind the end of a thread needs so much above and below its line
END_DROP_PX = 4  # from the line down to that number's baseline


@dataclass(frozen=True, slots=True)
class Lane:
    """Pixels from the top of the lane. line: of the threads. base: of the labels above it."""

    stays: tuple[Stay, ...]
    height: float
    line: float
    base: float


def lanes_of(stays: Iterable[Stay]) -> list[Lane]:
    """Puts each stay on the first lane that is free where it begins."""
    by_left = sorted(stays, key=lambda stay: stay.left)
    found = rows([(stay.left, stay.right) for stay in by_left], gap_px=0)
    return [
        _lane([stay for stay, at in zip(by_left, found, strict=True) if at == row])
        for row in range(max(found, default=-1) + 1)
    ]


def _lane(stays: Sequence[Stay]) -> Lane:
    labels = [label for stay in stays for label in stay.labels]
    height: float
    if any(stop.state != WAITING for stay in stays for stop in stay.stops):
        height, line, base = WORKED_PX, WORKED_PX - BAR_PX / 2 - 2, WORKED_PX - BAR_PX - 6
    elif any(label.kind != "end" for label in labels):
        height, line, base = NAMED_PX, NAMED_PX - 2, NAMED_PX - 6
    else:
        height, line, base = BARE_PX, BARE_PX / 2, 0
    if any(label.kind == "end" for label in labels):
        line = max(line, END_HALF_PX)
        height = max(height, line + END_HALF_PX)
    upper = UPPER_PX if any(label.y < 0 for label in labels) else 0
    return Lane(tuple(stays), height + upper, line + upper, base + upper)


def rows(spans: Iterable[tuple[float, float]], gap_px: float = GAP_PX) -> list[int]:
    """For each span, in order of left ends, the first row where it keeps its distance from its predecessor.

    >>> rows([(0, 50), (20, 60), (70, 90)])
    [0, 1, 0]
    """
    ends: list[float] = []
    out = []
    for left, right in spans:
        row = next((n for n, end in enumerate(ends) if end + gap_px <= left), len(ends))
        ends[row:] = [right, *ends[row + 1 :]]
        out.append(row)
    return out
