"""The path of a thread: along its lanes and across from one to the next, beside the crossings of the others."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from garage.core.drawing.stays import BEND_PX

ASIDE_PX, MOST_ASIDE = 5, 3  # a crossing begins so much earlier than one that it would lie on, at most so many times


@dataclass(frozen=True, slots=True)
class Leg:
    """A stretch of a thread along one lane, in pixels."""

    begin_x: float
    y: float


def path_of(legs: Sequence[Leg], end_x: float, taken: list[tuple[float, float, float]]) -> str:
    """The path's d. taken: the crossings drawn so far as x, top and foot; this thread's are added.

    >>> path_of([Leg(0, 10), Leg(100, 50)], 150, [])
    'M0.0 10.0 L86.0 10.0 C93.0 10.0 93.0 50.0 100.0 50.0 L150.0 50.0'
    """
    d = f"M{legs[0].begin_x:.1f} {legs[0].y:.1f}"
    for here, there in pairwise(legs):
        to_x = there.begin_x - _aside(here, there, taken)
        bend_x = max(to_x - BEND_PX, min(here.begin_x, to_x))
        mid = (bend_x + to_x) / 2
        d += f" L{bend_x:.1f} {here.y:.1f} C{mid:.1f} {here.y:.1f} {mid:.1f} {there.y:.1f} {to_x:.1f} {there.y:.1f}"
    return d + f" L{end_x:.1f} {legs[-1].y:.1f}"


def _aside(here: Leg, there: Leg, taken: list[tuple[float, float, float]]) -> float:
    """How much earlier it crosses. The thread then runs on to its bar in its new lane."""
    top, foot = sorted((here.y, there.y))
    room = max(0, int((there.begin_x - here.begin_x) / ASIDE_PX))
    tried = [n * ASIDE_PX for n in range(min(MOST_ASIDE, room) + 1)]
    in_the_way = [x for x, other_top, other_foot in taken if other_top < foot and top < other_foot]
    free = (px for px in tried if all(abs(there.begin_x - px - x) >= ASIDE_PX - 1 for x in in_the_way))
    aside = next(free, 0)
    taken.append((there.begin_x - aside, top, foot))
    return aside
