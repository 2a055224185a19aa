"""Firings without what the walls add: what one leaves ringing is taken off the next.

Sound in a room dies away evenly in decibels, 60 of them in its decay time. So of the power in one firing's cycle a
known share is still there in the next cycle, and what is left when it is taken off came in fresh. A missed firing
brings nothing fresh, however loud its cycle is.
"""

from __future__ import annotations

import numpy as np
from scipy import ndimage

from diagnostics.core.arrays import Float64s
from diagnostics.hearing.core import verdict_limits


def levels_of(power: Float64s) -> Float64s:
    """(firings,): ln loudness of each against strong ones hereabouts. power: (firings,) above 0.

    >>> levels_of(np.r_[np.ones(50), np.exp(-2.0), np.ones(50)])[[49, 50]].tolist()
    [0.0, -1.0]
    """
    loud = 0.5 * np.log(power)
    around = min(verdict_limits.DRY_AROUND_FIRINGS, len(loud))
    strong = ndimage.percentile_filter(loud, verdict_limits.DRY_STRONG_PERCENTILE, size=around, mode="nearest")
    return np.asarray(np.clip(loud - strong, *verdict_limits.DRY_LEVELS))


def fresh_power(power: Float64s, at_s: Float64s) -> Float64s:
    """(firings,): the power that came in with each firing, never less than a small share of what comes in hereabouts.

    at_s: (firings,) when each cycle begins.
    """
    still = np.exp(-verdict_limits.DECAY_NEPERS * np.gradient(at_s) / verdict_limits.ROOM_DECAY_S)
    fresh = power - still * np.concatenate([power[:1], power[:-1]])
    usual = ndimage.uniform_filter1d(power * (1 - still), verdict_limits.FRESH_AMONG_FIRINGS, mode="nearest")
    return np.asarray(np.maximum(fresh, verdict_limits.FRESH_AT_LEAST * usual))


def runs(levels: Float64s) -> float:
    """How much a firing is like the next one, a correlation: failings last for several firings, unevenness for one.

    >>> round(runs(np.tile([0.0, 0.0, 0.0, -2.0, -2.0, -2.0], 20)), 1), round(runs(np.tile([0.0, -2.0], 60)), 1)
    (0.3, -1.0)
    """
    if len(levels) < verdict_limits.ANSWERS_AT_LEAST:
        return 0.0
    moved = levels - levels.mean()
    return float((moved[1:] * moved[:-1]).sum() / ((moved * moved).sum() + verdict_limits.ALIKE_AT_LEAST))
