"""A hold that may last longer than the speed tells: an ignition that fails as it heats lets the engine run down with
the throttle open, firing now and then at full strength. With the throttle shut firing is weak, and stays weak."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from diagnostics.core.arrays import Float32s
from diagnostics.hearing.core.following.parts import UP_SHARE, Parts
from diagnostics.hearing.core.following.phase import BLOCK_S
from diagnostics.hearing.core.following.track import Track
from diagnostics.hearing.core.verdict.drop_outs import LEAST_MISSED, firings_in, missing, runs_of

LOOKS_BACK_S = 0.6  # so much of the hold shows how strong a firing is
LEAST_FALL_S = 0.2
AFTER_S = 0.1  # the hold's end is not known better
# So many firings in a row, no quieter than this (natural logarithm), after a drop-out, and so often.
STRONG_FIRINGS, STRONG_FROM, TIMES = 2, -0.15, 2


def longer(track: Track, samples: Float32s, parts: Parts) -> Parts:
    """The parts with the hold up to the last firing that came back at full strength; as given where none did."""
    if parts.held is None or parts.peak_rpm is None:
        return parts
    start_s, end_s = parts.held
    last = int(end_s / BLOCK_S)
    down = np.flatnonzero(track.rpm[last:] < parts.from_rpm + UP_SHARE * (parts.peak_rpm - parts.from_rpm))
    stops_s = (last + int(down[0]) if len(down) else len(track.rpm)) * BLOCK_S
    if stops_s - end_s < LEAST_FALL_S:
        return parts
    firings = firings_in(track, samples, (max(start_s, end_s - LOOKS_BACK_S), stops_s), rhythm=False)
    missed = missing(firings)
    strong = ~missed & (firings.level > STRONG_FROM)
    backs = [
        again
        for first, again in runs_of(missed)
        if again - first >= LEAST_MISSED and strong[again : again + STRONG_FIRINGS].sum() == STRONG_FIRINGS
    ]
    backs_s = [float(firings.at_s[again + STRONG_FIRINGS - 1]) for again in backs]
    backs_s = [at_s for at_s in backs_s if at_s > end_s + AFTER_S]
    return replace(parts, held=(start_s, backs_s[-1])) if len(backs_s) >= TIMES else parts
