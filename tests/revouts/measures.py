"""How far what was heard agrees with the truth."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

Spans = Sequence[tuple[float, float]]


def overlap(one: tuple[float, float] | None, other: tuple[float, float] | None) -> float:
    """Intersection over union of two spans, s; 0 where one is missing."""
    if one is None or other is None:
        return 0.0
    both = min(one[1], other[1]) - max(one[0], other[0])
    return max(0.0, both) / (max(one[1], other[1]) - min(one[0], other[0]))


def drop_out_counts(found: Spans, true: Spans) -> np.ndarray:
    """Matched pairs (overlapping by a third of their union or more), found ones, true ones."""
    left = list(true)
    hits = 0
    for span in found:
        best = max(left, key=lambda other: overlap(span, other), default=None)
        if best is not None and overlap(span, best) >= 1 / 3:
            left.remove(best)
            hits += 1
    return np.array([hits, len(found), len(true)], float)


def speed_errors(
    at_s: np.ndarray, rpm: Sequence[float | None], true_rpm: np.ndarray, firing: np.ndarray, step_s: float
) -> np.ndarray:
    """Relative error of the trace at each moment at which the truth fires, NaN where the trace has no speed."""
    given = np.array([np.nan if value is None else value for value in rpm], float)
    moments = np.arange(len(true_rpm)) * step_s
    here = np.interp(moments, at_s, given) if len(at_s) else np.full(len(moments), np.nan)
    return np.abs(here / true_rpm - 1)[firing]


def calibration_error(sure: np.ndarray, right: np.ndarray, bins: int = 10) -> float:
    """Expected calibration error, in bins of equal counts."""
    order = np.argsort(sure, kind="stable")
    parts = np.array_split(order, bins)
    return float(
        sum(len(part) * abs(sure[part].mean() - right[part].mean()) for part in parts if len(part)) / len(sure)
    )
