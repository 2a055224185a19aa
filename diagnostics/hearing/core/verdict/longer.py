"""A hold that may last longer than the speed suggests.

An ignition that fails as it heats lets the engine run down with the throttle open, firing at full strength now and
then. With the throttle shut firing is weak and stays weak.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from diagnostics.core.arrays import Float32s
from diagnostics.hearing.core import limits
from diagnostics.hearing.core.blocks import block_at
from diagnostics.hearing.core.following.parts import Parts
from diagnostics.hearing.core.following.track import Track
from diagnostics.hearing.core.verdict.drop_outs import missing, runs_of
from diagnostics.hearing.core.verdict.firings import firings_without_rhythm


def longer(track: Track, samples: Float32s, parts: Parts) -> Parts:
    """The parts with the hold up to the last firing that came back at full strength; as given where none did."""
    if parts.held is None or parts.peak_rpm is None:
        return parts
    start_s, end_s = parts.held
    last = block_at(end_s)
    down = np.flatnonzero(track.rpm[last:] < parts.from_rpm + limits.UP_SHARE * (parts.peak_rpm - parts.from_rpm))
    stops_s = (last + int(down[0]) if len(down) else len(track.rpm)) * limits.BLOCK_S
    if stops_s - end_s < limits.RUNS_ON_AT_LEAST_S:
        return parts
    firings = firings_without_rhythm(track, samples, (max(start_s, end_s - limits.LOOKS_BACK_S), stops_s))
    missed = missing(firings)
    strong = ~missed & (firings.level > limits.BACK_FROM)
    in_a_row = limits.BACK_FIRINGS
    backs_s = [
        float(firings.at_s[again + in_a_row - 1])
        for first, again in runs_of(missed)
        if again - first >= limits.LEAST_MISSED and strong[again : again + in_a_row].sum() == in_a_row
    ]
    backs_s = [at_s for at_s in backs_s if at_s > end_s + limits.RUNS_ON_AFTER_S]
    return replace(parts, held=(start_s, backs_s[-1])) if len(backs_s) >= limits.BACK_TIMES else parts
