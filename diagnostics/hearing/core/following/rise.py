"""The rise of the speed from tickover to the hold, and where what is followed is no engine's any more."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from diagnostics.core.arrays import Bools, Float64s
from diagnostics.hearing.core.following.phase import BLOCK_S

IDLE_SPREAD_LOG = 0.22  # how near its lowest speed tickover stays, natural logarithm; common practice, no source
LEAST_RISE = 1.6  # speed in the hold against before it; common practice, no source
RISES_WITHIN_S = 1.5  # an opened throttle has done it by then; common practice, no source
NEARLY_UP = 0.75  # of the highest speed: the rise lies before
DOWN_SHARE = 0.3  # of the rise: below, it is over
LOW_PERCENTILE = 30  # of the speeds near the lowest: what the rise begins from
LEAVES_IDLE = 1.10  # from here on the speed is rising
CLIMB_NEAR_BLOCKS = 60  # a plain climb begins so near to where the speed leaves idle
UP_WITHIN_S = 2.0  # a climb has begun and nearly ended within so long; common practice, no source
LEAP_BLOCKS, LEAP_LOG = 15, 0.2  # faster than engines gain speed that are nearly up; common practice, no source
# Below the first it is tickover still, and who has gained so much in as many blocks is climbing.
LEAPS_FROM_RPM, CLIMBING = 2500.0, 1.06
# Who has sagged no further than this share of what was reached so shortly before, and gets there again, has recovered.
SAG_BLOCKS, SAGS_TO, RECOVERS_TO = 50, 0.75, 1.02
COMES_BACK_LOG, COMES_BACK_BLOCKS = 0.12, 25


class Rise(NamedTuple):
    """Ordered by what makes it the rev-out's: that the plain climb lies in it, then how many blocks the speed is up.

    start: block at which the speed leaves tickover for good; ends: block at which what is followed is no engine's any
    more, or the sound ends; low_rpm, peak_rpm: the speed before, and the highest held after.
    """

    climbs: bool
    up: int
    start: int
    ends: int
    low_rpm: float
    peak_rpm: float


def rise_in(rpm: Float64s, followed: Bools, lasting: Float64s, climbs_at: int | None) -> Rise | None:
    """The rev-out's rise among all (a blip before the test, a voice over tickover); None without one.

    rpm, followed, lasting: (blocks,) the speed, whether it is heard, and what of it is held. climbs_at: the block at
    which a plain climb begins, None where none is plain.
    """
    width = round(RISES_WITHIN_S / BLOCK_S)
    padded = np.pad(rpm, (width - 1, 0), mode="edge")
    lowest = np.lib.stride_tricks.sliding_window_view(padded, width).min(axis=1)
    found: list[Rise] = []
    ends = 0
    for first in np.flatnonzero(followed & (rpm > LEAST_RISE * lowest)).tolist():
        if first < ends:
            continue
        down = np.flatnonzero(rpm[first:] < lowest[first] + DOWN_SHARE * (rpm[first] - lowest[first]))
        ends = first + int(down[0]) if len(down) else len(rpm)
        rise = _rise_from(rpm, lasting, first, ends, climbs_at)
        if rise.peak_rpm > LEAST_RISE * rise.low_rpm:
            found.append(rise)
    return max(found) if found else None


def _rise_from(rpm: Float64s, lasting: Float64s, first: int, ends: int, climbs_at: int | None) -> Rise:
    """The rise that shows at block `first` and is over at `ends`."""
    begins = max(first, climbs_at) if climbs_at is not None and climbs_at < ends else first
    soon = lasting[begins : min(begins + round(UP_WITHIN_S / BLOCK_S), ends)]
    reached = begins + int(np.argmax(rpm[begins:ends] > NEARLY_UP * soon.max()))
    leaps = reached + _leaps(rpm[reached:ends])
    peak = float(lasting[first:leaps].max())
    from_block = max(reached - round(RISES_WITHIN_S / BLOCK_S) + 1, 0)
    window = rpm[from_block : reached + 1]
    low = float(np.percentile(window[window < window.min() * np.exp(IDLE_SPREAD_LOG)], LOW_PERCENTILE))
    start = from_block + int(np.flatnonzero(window <= LEAVES_IDLE * low)[-1])
    up = int(np.sum(rpm[reached:leaps] > low + 0.5 * (peak - low)))
    climbs = climbs_at is not None and start - CLIMB_NEAR_BLOCKS < climbs_at < reached
    if climbs and climbs_at is not None:
        start = max(start, climbs_at)
    return Rise(climbs, up, start, min(leaps, ends), low, peak)


def _leaps(rpm: Float64s) -> int:
    """The block at which the speed leaps up as no engine can that is up already, and does not come back: a voice, say,
    that is followed from there. Else the number of blocks. Who sags for a moment and gets up again does not leap.

    >>> _leaps(np.repeat([7000.0, 12000.0], 50))
    35
    >>> _leaps(np.concatenate([np.full(50, 7000.0), np.geomspace(7000.0, 5500.0, 40), np.full(60, 7000.0)]))
    150
    >>> _leaps(np.concatenate([np.full(50, 7000.0), np.geomspace(7000.0, 3500.0, 90), np.full(60, 7000.0)]))
    125
    """
    for here in np.flatnonzero(np.log(rpm[LEAP_BLOCKS:] / rpm[:-LEAP_BLOCKS]) > LEAP_LOG).tolist():
        if here < LEAP_BLOCKS or rpm[here] < LEAPS_FROM_RPM or rpm[here] > CLIMBING * rpm[here - LEAP_BLOCKS]:
            continue
        reached = rpm[max(here - SAG_BLOCKS, 0) : here].max()
        if rpm[here] > SAGS_TO * reached and rpm[here + LEAP_BLOCKS] < RECOVERS_TO * reached:
            continue
        near = np.abs(np.log(rpm[here + LEAP_BLOCKS :] / rpm[here])) < COMES_BACK_LOG
        if near.sum() < COMES_BACK_BLOCKS:
            return here
    return len(rpm)
