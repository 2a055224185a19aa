"""How loud each frame is against the clip's own range: an open throttle is loud, a shut one is not."""

from __future__ import annotations

import numpy as np
from scipy import ndimage

from diagnostics.core.arrays import Float32s
from diagnostics.hearing.core import limits


def loud_in(envelope: Float32s, frames: int) -> Float32s:
    """(frames, 2): how far each is above, and below, the middle between the clip's quietest and loudest, 0 to 0.5 of
    the way between them; 0 where all are about as loud.

    Firing that fails is loud again and again, and so are pops after the shut, but briefly. So the loudest hereabouts
    counts. envelope: as in Track, the square root of an amplitude.

    >>> loud_in(np.repeat(np.float32([0.1, 1.0]), 8000), 400)[[50, 350]].tolist()
    [[0.0, 0.5], [0.5, 0.0]]
    """
    width = round(limits.ENVELOPE_RATE_HZ * limits.HOP_S)
    whole = envelope[: frames * width].reshape(-1, width).astype(float)
    loud = ndimage.uniform_filter1d(np.log((whole**2).mean(axis=1) + 1e-9), limits.LOUD_OVER_FRAMES)
    shortly, longer = (
        ndimage.maximum_filter1d(loud, among) for among in (limits.LOUD_AMONG_FRAMES, limits.QUIET_AMONG_FRAMES)
    )
    low, high = np.percentile(shortly, limits.LOUD_PERCENTILES)
    out = np.zeros((frames, 2), np.float32)
    if high - low > limits.LOUD_RANGE:
        middle, half = (low + high) / 2, (high - low) / 2
        out[: len(loud), 0] = np.clip(shortly - middle, 0, half) / (high - low)
        out[: len(loud), 1] = np.clip(middle - longer, 0, half) / (high - low)
    return out
