"""The rise of the speed from tickover to the hold, and where the path no longer follows an engine."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from diagnostics.core.arrays import Bools, Float64s
from diagnostics.hearing.core import limits
from diagnostics.hearing.core.blocks import blocks_in


class Rise(NamedTuple):
    """Ordered by what makes it the rev-out's: whether the plain climb lies in it, then how many blocks the speed is up.

    start: the block at which the speed leaves tickover for good. ends: the block from which the path follows no engine,
    or the end of the sound. low_rpm, peak_rpm: the speed before the rise, and the highest that is held after it.
    """

    climbs: bool
    up: int
    start: int
    ends: int
    low_rpm: float
    peak_rpm: float


def rise_in(rpm: Float64s, followed: Bools, lasting: Float64s, climbs_at: int | None) -> Rise | None:
    """The rev-out's rise among all that there are (a blip before the test, a voice over tickover); None without any.

    rpm, followed, lasting: (blocks,) the speed, whether it is heard, and as much of it as is held. climbs_at: the block
    at which a plain climb begins; None where none is plain.
    """
    width = blocks_in(limits.RISES_WITHIN_S)
    padded = np.pad(rpm, (width - 1, 0), mode="edge")
    lowest = np.lib.stride_tricks.sliding_window_view(padded, width).min(axis=1)
    found: list[Rise] = []
    ends = 0
    for first in np.flatnonzero(followed & (rpm > limits.LEAST_RISE * lowest)).tolist():
        if first < ends:
            continue
        down = np.flatnonzero(rpm[first:] < lowest[first] + limits.DOWN_SHARE * (rpm[first] - lowest[first]))
        ends = first + int(down[0]) if len(down) else len(rpm)
        rise = _rise_from(rpm, lasting, first, ends, climbs_at)
        if rise.peak_rpm > limits.LEAST_RISE * rise.low_rpm:
            found.append(rise)
    return max(found) if found else None


def _rise_from(rpm: Float64s, lasting: Float64s, first: int, ends: int, climbs_at: int | None) -> Rise:
    """The rise that shows at block `first` and is over at `ends`."""
    begins = max(first, climbs_at) if climbs_at is not None and climbs_at < ends else first
    soon = lasting[begins : min(begins + blocks_in(limits.UP_WITHIN_S), ends)]
    reached = begins + int(np.argmax(rpm[begins:ends] > limits.NEARLY_UP * soon.max()))
    leaps = reached + _leaps(rpm[reached:ends], _fastest_gain_rpm(rpm[begins : reached + 1]))
    peak = float(lasting[first:leaps].max())
    from_block = max(reached - blocks_in(limits.RISES_WITHIN_S) + 1, 0)
    window = rpm[from_block : reached + 1]
    lowest = window[window < window.min() * np.exp(limits.IDLE_SPREAD_LOG)]
    low = float(np.percentile(lowest, limits.LOW_PERCENTILE))
    start = from_block + int(np.flatnonzero(window <= limits.LEAVES_IDLE * low)[-1])
    up = int(np.sum(rpm[reached:leaps] > low + 0.5 * (peak - low)))
    climbs = climbs_at is not None and start - limits.CLIMB_NEAR_BLOCKS < climbs_at < reached
    if climbs and climbs_at is not None:
        start = max(start, climbs_at)
    return Rise(climbs, up, start, min(leaps, ends), low, peak)


def _fastest_gain_rpm(rpm: Float64s) -> float:
    """The most that a climb gains in LEAP_BLOCKS, rpm."""
    width = limits.LEAP_BLOCKS
    return float((rpm[width:] - rpm[:-width]).max()) if len(rpm) > width else float(np.ptp(rpm))


def _leaps(rpm: Float64s, climbs_rpm: float) -> int:
    """The block at which the speed leaps up as this engine can't, and does not come back; else the number of blocks.

    From a leap on the path follows a voice, say. An engine that was thrown back comes up again, but hardly faster than
    it first climbed. climbs_rpm: the most that it gained in LEAP_BLOCKS then.

    >>> _leaps(np.repeat([7000.0, 12000.0], 50), 1500.0)
    35
    >>> _leaps(np.concatenate([np.full(50, 7000.0), np.geomspace(7000.0, 3500.0, 90), np.full(60, 7000.0)]), 1500.0)
    125
    >>> _leaps(np.concatenate([np.full(50, 7000.0), np.geomspace(3500.0, 7000.0, 60), np.full(60, 7000.0)]), 1500.0)
    170
    """
    width = limits.LEAP_BLOCKS
    gains_rpm = rpm[width:] - rpm[:-width]
    leaps = (np.log(rpm[width:] / rpm[:-width]) > limits.LEAP_LOG) & (gains_rpm > limits.LEAP_TIMES * climbs_rpm)
    for here in np.flatnonzero(leaps).tolist():
        if here < width or rpm[here] < limits.LEAPS_FROM_RPM or rpm[here] > limits.CLIMBING * rpm[here - width]:
            continue
        reached = rpm[max(here - limits.SAG_BLOCKS, 0) : here].max()
        if rpm[here] > limits.SAGS_TO * reached and rpm[here + width] < limits.RECOVERS_TO * reached:
            continue
        near = np.abs(np.log(rpm[here + width :] / rpm[here])) < limits.COMES_BACK_LOG
        if near.sum() < limits.COMES_BACK_BLOCKS:
            return here
    return len(rpm)
