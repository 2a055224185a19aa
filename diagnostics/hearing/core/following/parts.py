"""The parts of a rev-out: tickover, opening, climb, hold, shutting, found in the course of speed and loudness."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import ndimage, signal

from diagnostics.core.arrays import Bools, Float32s, Float64s
from diagnostics.hearing.core.following.phase import BLOCK_S
from diagnostics.hearing.core.following.rise import IDLE_SPREAD_LOG, rise_in
from diagnostics.hearing.core.following.spectrum import HOP_S, RATE_HZ
from diagnostics.hearing.core.following.track import Track
from diagnostics.hearing.core.heard import Reason

REVVED_SHARE = 0.75  # of the highest speed: who begins there begins too late
IDLE_BLOCKS, IDLE_AT_LEAST_BLOCKS = 150, 20  # where and how near tickover is looked for
LULL_BLOCKS, LULL_PERCENTILE = 5, 5
HELD_S = 0.2  # contract: a peak is held for so long
UP_SHARE = 0.3  # of the rise: below, the hold is over
SHUT_SHARE = 0.95  # speed against that of the last half second: below, the engine is running down
LOOK_BACK_S = 0.5
ENDS_FROM = 0.75  # evidence without which a speed is no sign that the throttle is open still
FOLLOWED_FROM = 0.8  # evidence, averaged over FOLLOW_S, from which firing is followed
SHOWN_FROM = 0.65  # from which a speed is shown
FOLLOW_S = 0.15
FOLLOWED_AT_LEAST = 0.3  # share of a clip in which firing must be followed where there is no climb
OPENS_AFTER_S = (
    0.12  # the throttle is half open about so long after the speed begins to leave idle; seen on the set `fit`
)
BOG_BLOCKS = 70  # how long before the speed leaves idle the throttle may have been opened
LEAST_SWELL, SWELL_SHARE = (
    0.5,
    0.45,
)  # how much the sound must swell (natural logarithm), and where in it the slide is half up
SHUTS_BEFORE_S = 0.11  # a shut throttle shows in the speed so much later
ABOVE_WIND = signal.butter(2, 150, "high", fs=RATE_HZ, output="sos")  # from 150 Hz up
OPENING_AT_LEAST_S = 0.25  # what must be heard before the rise


@dataclass(frozen=True)
class Parts:
    """Speeds in rpm, times in s. held None: no opening found; why says why."""

    followed: Bools
    idle_rpm: float | None
    peak_rpm: float | None
    held: tuple[float, float] | None
    rise: float
    why: Reason | None
    swell: float = 0.0  # natural logarithm of loudness in the hold against tickover
    from_rpm: float = 0.0  # where the rise begins
    lulls: float = 0.0  # natural logarithm of loudness where the hold is quietest against its middle, below 0


def loudness(samples: Float32s) -> Float64s:
    """Natural logarithm of the root mean square above 150 Hz, every BLOCK_S."""
    heard = signal.sosfilt(ABOVE_WIND, samples)
    block = int(BLOCK_S * RATE_HZ)
    whole = heard[: len(heard) // block * block].reshape(-1, block)
    if not len(whole):
        return np.zeros(1)
    return np.asarray(0.5 * np.log((whole.astype(float) ** 2).mean(axis=1) + 1e-12))


def parts_of(track: Track, samples: Float32s) -> Parts:
    """Find the parts; where there is no opening, say why."""
    rpm = ndimage.median_filter(track.rpm, 7, mode="nearest")
    evidence = ndimage.uniform_filter1d(track.evidence, round(FOLLOW_S / BLOCK_S), mode="nearest")
    shown, followed = evidence > SHOWN_FROM, evidence > FOLLOWED_FROM
    if followed.mean() < FOLLOWED_AT_LEAST and track.climb is None:
        return Parts(shown, None, None, None, 1.0, Reason.NO_ENGINE)
    lasting = np.where(followed, ndimage.minimum_filter1d(rpm, round(HELD_S / BLOCK_S), mode="nearest"), 0.0)
    climbs_at = round(track.climb.first * HOP_S / BLOCK_S) if track.climb is not None else None
    rise = rise_in(rpm, followed, lasting, climbs_at)
    if rise is None:
        peak = float(lasting.max())
        revved = len(rpm) > 0 and peak > 0 and float(np.median(rpm[: round(1 / BLOCK_S)])) > REVVED_SHARE * peak
        return Parts(shown, None, peak or None, None, 1.0, Reason.BEGINS_LATE if revved else Reason.NO_RISE)
    start, ends, low, peak = rise.start, rise.ends, rise.low_rpm, rise.peak_rpm
    ticking = np.arange(max(start - IDLE_BLOCKS, 0), max(start - 5, 1))
    ticking = ticking[followed[ticking] & (np.abs(np.log(rpm[ticking] / low)) < IDLE_SPREAD_LOG)]
    idle = float(np.median(rpm[ticking])) if len(ticking) >= IDLE_AT_LEAST_BLOCKS else None
    before = slice(max(start - IDLE_BLOCKS, 0), max(start - 5, 1))
    if start * BLOCK_S < OPENING_AT_LEAST_S:
        return Parts(shown, None, peak, None, peak / low, Reason.BEGINS_LATE)
    end = _start_of_fall(rpm[:ends], evidence[:ends] > ENDS_FROM, start, low + UP_SHARE * (peak - low))
    loud = loudness(samples)
    end = _sharpened(loud, end)
    held = (_half_open_s(loud, start), end * BLOCK_S)
    if held[1] <= held[0]:
        return Parts(shown, idle, peak, None, peak / low, Reason.NO_RISE)
    swell = float(np.median(loud[start:end]) - np.median(loud[before])) if end > start else 0.0
    return Parts(shown, idle, peak, held, peak / low, None, swell, low, _lulls(loud[int(held[0] / BLOCK_S) : end]))


def _lulls(loud: Float64s) -> float:
    smooth = ndimage.uniform_filter1d(loud, LULL_BLOCKS, mode="nearest")
    return float(np.percentile(smooth, LULL_PERCENTILE) - np.median(smooth))


def _half_open_s(loud: Float64s, start: int) -> float:
    """When the throttle is half open, s: soon after the speed leaves idle, or before, where the sound swells first.

    A carburettor that bogs gets loud (and uneven) as soon as the slide is up, and only then revs.
    """
    by_speed_s = int(start) * BLOCK_S + OPENS_AFTER_S
    smooth = ndimage.uniform_filter1d(loud, 15, mode="nearest")
    idle = smooth[max(start - 150, 0) : max(start - BOG_BLOCKS, 1)]
    near = np.arange(max(start - BOG_BLOCKS, 0), min(start + 20, len(smooth)))
    if len(idle) < 20 or len(near) < 10:
        return by_speed_s
    quiet, swollen = float(np.percentile(idle, 75)), float(smooth[near[-20:]].max())
    if swollen - quiet < LEAST_SWELL:
        return by_speed_s
    below = np.flatnonzero(smooth[near] < quiet + SWELL_SHARE * (swollen - quiet))
    at = int(near[below[-1]]) + 1 if len(below) else int(near[0])
    return min(by_speed_s, at * BLOCK_S)


def _start_of_fall(rpm: Float64s, heard: Bools, start: int, above: float) -> int:
    """The last block at which the speed is up and no lower than it was in the last half second."""
    width = round(LOOK_BACK_S / BLOCK_S)
    padded = np.pad(rpm, (width - 1, 0), mode="edge")
    recent = np.percentile(np.lib.stride_tricks.sliding_window_view(padded, width), 85, axis=1)
    up = np.flatnonzero((rpm >= SHUT_SHARE * recent) & (rpm > above) & heard)
    up = up[up > start]
    return max(int(up[-1]) - round(SHUTS_BEFORE_S / BLOCK_S), start) if len(up) and up[-1] < len(rpm) - 3 else len(rpm)


def _sharpened(loud: Float64s, end: int) -> int:
    """Moved to where the sound drops most, if it drops much near the end that the speed tells."""
    if end >= len(loud) - 10:
        return end
    smooth = ndimage.uniform_filter1d(loud, 12, mode="nearest")
    near = np.arange(max(end - 15, 6), min(end + 25, len(loud) - 18))
    drops = smooth[near - 6] - smooth[near + 12]
    best = int(drops.argmax()) if len(drops) else 0
    return int(near[best]) if len(drops) and drops[best] > 0.5 else end
