"""The climb from tickover to an open throttle: the one thing that nothing but a rev-out has."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from diagnostics.core.arrays import Float32s, Int64s
from diagnostics.hearing.core import limits


@dataclass(frozen=True)
class Climb:
    """A climb up from tickover.

    first: the frame at which it leaves tickover. total: evidence above BACKGROUND along it, summed over frames. mean:
    mean evidence along it. ahead: evidence before the climb for the speed of the hold after it.
    """

    first: int
    total: float
    mean: float
    ahead: float

    @property
    def ticks_s(self) -> float:
        """How long the engine ticks over before it."""
        return self.first * limits.HOP_S

    @property
    def is_there(self) -> bool:
        """Whether it is a climb at all, not a jump through noise."""
        return (
            self.total > limits.CLIMB_TOTAL and self.mean > limits.CLIMB_MEAN and self.ticks_s >= limits.CLIMB_TICKS_S
        )


def climb_of(given: Float32s, path: Int64s, way: Int64s, first_climb: int) -> Climb | None:
    """The climb on the path; None where none leads to an open throttle.

    given: as in course_in. path, way: (frames,) candidate and way of each frame. first_climb: ways from it on climb.
    """
    patterns = given.shape[1]
    climbing, running = np.flatnonzero(way >= first_climb), np.flatnonzero(way < patterns)
    if not len(climbing) or not len(running):
        return None
    goes = np.split(climbing, np.flatnonzero(np.diff(climbing) > 1) + 1)
    climbing = max(goes, key=lambda go: float((given[go, way[go] - first_climb, path[go]] - limits.BACKGROUND).sum()))
    first = int(climbing[0])
    along = given[climbing, way[climbing] - first_climb, path[climbing]]
    after = running[running > first]
    if not len(after):
        return None
    held = int(np.median(path[after[: limits.AHEAD_FRAMES]]))
    near = round(limits.AHEAD_LOG / (2 * limits.STEP_LOG))  # a course uses every second candidate only
    before = given[max(first - limits.AHEAD_FRAMES, 0) : first, 0, max(held - near, 0) : held + near + 1]
    ahead = float(before.max(axis=1).mean()) if len(before) else 0.0
    return Climb(first, float((along - limits.BACKGROUND).sum()), float(along.mean()), ahead)
