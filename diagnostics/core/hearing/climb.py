"""The climb itself: whether, and from where, the speed rises without a break from tickover up, as a rev-out's does.

Noise or a voice may drown tickover, and the likeliest path then follows the voice; but the climb is loud, and nothing
else rises threefold within a second or so along an engine's orders.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from diagnostics.core.hearing.teeth import Floats

HIGHEST_IDLE_RPM = 3800.0  # no small engine ticks over faster; common practice, no source
FROM_AT_MOST_RPM, TO_AT_LEAST_RPM = 2600.0, 4500.0  # common practice for small engines, no source
PLAIN_TOTAL, PLAIN_MEAN = 22.0, 0.95  # a voice alone may reach both, but has no tickover before it
BACKGROUND = 0.6  # evidence that noise gives along the best of many paths


@dataclass(frozen=True)
class Climb:
    """first: frame at which it leaves tickover; start: the candidate there; total: evidence above noise along it,
    summed over frames; mean: evidence along it."""

    first: int
    start: int
    total: float
    mean: float

    @property
    def is_plain(self) -> bool:
        """Whether it is heard so plainly that it began at tickover, whatever drowns that."""
        return self.total > PLAIN_TOTAL and self.mean > PLAIN_MEAN


def plainest_climb(seen: Floats, rpm: Floats, up: int) -> Climb | None:
    """The climb with most evidence above noise; None where the sound is too short to hold one.

    seen: (frames, candidates) evidence; rpm: (candidates,) ascending; up: candidates by which a frame may rise at most.
    It rises by one candidate a frame at least.
    """
    frames = len(seen)
    low, high = int(np.searchsorted(rpm, FROM_AT_MOST_RPM)), int(np.searchsorted(rpm, TO_AT_LEAST_RPM))
    if frames < 2 or high >= len(rpm):
        return None
    gain = seen - np.float32(BACKGROUND)
    totals = np.full((frames, up + len(rpm)), -1e9, np.float32)
    reached = totals[:, up:]
    reached[0, :low] = gain[0, :low]
    below = np.moveaxis(np.lib.stride_tricks.sliding_window_view(totals, up, axis=1), 2, 1)[:, :, : len(rpm)]
    for index in range(1, frames):
        best = below[index - 1].max(axis=0)
        np.maximum(best[:low], 0.0, out=best[:low])
        np.add(best, gain[index], out=reached[index])
    last, top = np.unravel_index(reached[:, high:].argmax(), (frames, len(rpm) - high))
    return _traced(seen, totals, up, (int(last), int(top) + high), low)


def _traced(seen: Floats, totals: Floats, up: int, end: tuple[int, int], low: int) -> Climb:
    """Back from its end to where it began."""
    frame, at = end
    total, along = float(totals[frame, up + at]), [float(seen[frame, at])]
    while frame > 0:
        before = totals[frame - 1, at : at + up]
        best = int(before.argmax())
        if at < low and before[best] <= 0:
            break
        frame, at = frame - 1, at - up + best
        along.append(float(seen[frame, at]))
    return Climb(frame, at, total, float(np.mean(along)))
