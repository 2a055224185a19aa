"""Smoothing by straight lines: each value becomes that of the line fitted to its neighbours in a window of time."""

from __future__ import annotations

import numpy as np

from jobs.core.runs.logger.cell_numbers import Numbers

ROUNDING_S = 1e-9  # s: an evenly clocked reading is on both edges of its window or on neither
FEWEST = 3  # readings in a window: through two any line fits


def smoothed(time_s: Numbers, values: Numbers, window_s: float) -> Numbers:
    """By least squares over half the window on either side; (n,) float64. What rises evenly stays as it is, also at the
    ends. At each reading at least its two neighbours count, however short the window is.

    time_s: (n,), rising, n ≥ 3. Cumulative sums make it as quick for a long window as for a short one.

    >>> t = np.array([0.0, 0.1, 0.2, 0.35, 0.4])
    >>> np.round(smoothed(t, 5 + 2 * t, 0.2), 9).tolist()
    [5.0, 5.2, 5.4, 5.7, 5.8]
    """
    first, past = _windows(time_s, window_s)
    from_start = time_s - time_s[0]
    centre, level = from_start.mean(), values.mean()  # small numbers keep their digits in the sums
    t, v = from_start - centre, values - level

    def sums(of: Numbers) -> Numbers:
        total = np.concatenate([[0.0], np.cumsum(of)])
        inside: Numbers = total[past] - total[first]
        return inside

    count = (past - first).astype(np.float64)
    mean_t, mean_v = sums(t) / count, sums(v) / count
    spread = sums(t * t) / count - mean_t**2
    slope = (sums(t * v) / count - mean_t * mean_v) / np.maximum(spread, np.finfo(np.float64).tiny)
    lines: Numbers = level + mean_v + slope * (t - mean_t)
    return lines


def _windows(
    time_s: Numbers, window_s: float
) -> tuple[np.ndarray[tuple[int], np.dtype[np.intp]], np.ndarray[tuple[int], np.dtype[np.intp]]]:
    """The first reading of each window, and the one past its last."""
    count, half = len(time_s), window_s / 2 + ROUNDING_S
    at = np.arange(count)
    first = np.minimum(np.searchsorted(time_s, time_s - half), np.maximum(at - 1, 0))
    past = np.maximum(np.searchsorted(time_s, time_s + half, side="right"), np.minimum(at + 2, count))
    first = np.minimum(first, count - FEWEST)
    return first, np.maximum(past, first + FEWEST)
