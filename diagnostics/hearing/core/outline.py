"""The outline of a sound: how loud it is along its length, small enough to be kept with what was heard."""

from __future__ import annotations

import numpy as np

from diagnostics.core.arrays import Float32s
from diagnostics.hearing.core import limits


def outline(samples: Float32s, peaks: int = limits.OUTLINE_PEAKS) -> tuple[float, ...]:
    """The highest of each of `peaks` even parts, as shares of the loudest, 0 to 1; fewer for fewer samples.

    samples: (n,) float, any scale. An empty or silent sound gives zeros.

    >>> outline(np.array([0, 0.5, -1, 0.25], np.float32), peaks=2)
    (0.5, 1.0)
    """
    if not len(samples):
        return ()
    starts = np.linspace(0, len(samples), min(peaks, len(samples)), endpoint=False).astype(int)
    highest = np.maximum.reduceat(np.abs(samples), starts)
    loudest = float(highest.max())
    return tuple(round(float(high), 3) for high in highest / loudest) if loudest > 0 else (0.0,) * len(highest)
