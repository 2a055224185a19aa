"""The parts of a rev-out, found in speed and loudness: tickover, opening, climb, hold and shutting."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import ndimage, signal

from diagnostics.core.arrays import Bools, Float32s, Float64s
from diagnostics.hearing.core import limits
from diagnostics.hearing.core.blocks import block_at, blocks_in
from diagnostics.hearing.core.following.rise import rise_in
from diagnostics.hearing.core.following.track import Track
from diagnostics.hearing.core.heard import HeardReason

ABOVE_WIND = signal.butter(limits.HIGH_PASS_ORDER, limits.WIND_TO_HZ, "high", fs=limits.RATE_HZ, output="sos")


@dataclass(frozen=True)
class Parts:
    """Speeds in rpm, times in s, loudness as its natural logarithm.

    followed: (blocks,) whether a speed is shown. held: None where no opening is found; why: the reason for that. swell:
    loudness in the hold against tickover. from_rpm: where the rise begins. lulls: loudness where the hold is quietest
    against its middle, below 0.
    """

    followed: Bools
    idle_rpm: float | None = None
    peak_rpm: float | None = None
    held: tuple[float, float] | None = None
    why: HeardReason | None = None
    swell: float = 0.0
    from_rpm: float = 0.0
    lulls: float = 0.0


def loudness(samples: Float32s) -> Float64s:
    """(blocks,): natural logarithm of the root mean square above WIND_TO_HZ."""
    heard = signal.sosfilt(ABOVE_WIND, samples)
    block = int(limits.BLOCK_S * limits.RATE_HZ)
    whole = heard[: len(heard) // block * block].reshape(-1, block)
    if not len(whole):
        return np.zeros(1)
    return np.asarray(0.5 * np.log((whole.astype(float) ** 2).mean(axis=1) + 1e-12))


def parts_of(track: Track, samples: Float32s) -> Parts:
    """The parts of a rev-out, as far as there is one."""
    rpm = ndimage.median_filter(track.rpm, limits.SPEED_OVER_BLOCKS, mode="nearest")
    evidence = ndimage.uniform_filter1d(track.evidence, blocks_in(limits.FOLLOW_S), mode="nearest")
    shown, followed = evidence > limits.SHOWN_FROM, evidence > limits.FOLLOWED_FROM
    if followed.mean() < limits.FOLLOWED_AT_LEAST and track.climb is None:
        return Parts(shown, why=HeardReason.NO_ENGINE)
    lowest = ndimage.minimum_filter1d(rpm, blocks_in(limits.HELD_S), mode="nearest")
    lasting = np.where(followed, lowest, 0.0)
    climbs_at = None if track.climb is None else blocks_in(track.climb.first * limits.HOP_S)
    rise = rise_in(rpm, followed, lasting, climbs_at)
    if rise is None:
        peak = float(lasting.max())
        why = HeardReason.BEGINS_LATE if _begins_revved(rpm, peak) else HeardReason.NO_RISE
        return Parts(shown, peak_rpm=peak or None, why=why)
    start, low, peak = rise.start, rise.low_rpm, rise.peak_rpm
    if start * limits.BLOCK_S < limits.OPENING_AT_LEAST_S:
        return Parts(shown, peak_rpm=peak, why=HeardReason.BEGINS_LATE)
    above = low + limits.UP_SHARE * (peak - low)
    loud = loudness(samples)
    end = _sharpened(loud, _start_of_fall(rpm[: rise.ends], evidence[: rise.ends], start, above))
    end = _loud_to(loud, start + int(np.argmax(rpm[start:] > limits.NEARLY_UP * peak)), end)
    held = (_half_open_s(loud, start), end * limits.BLOCK_S)
    before = slice(max(start - limits.IDLE_BLOCKS, 0), max(start - limits.IDLE_ENDS_BLOCKS, 1))
    idle = _idle_rpm(rpm[before][followed[before]], low)
    if held[1] <= held[0]:
        return Parts(shown, idle, peak, why=HeardReason.NO_RISE)
    swell = float(np.median(loud[start:end]) - np.median(loud[before])) if end > start else 0.0
    return Parts(shown, idle, peak, held, None, swell, low, _lulls(loud[block_at(held[0]) : end]))


def _begins_revved(rpm: Float64s, peak_rpm: float) -> bool:
    """Whether a clip begins near its highest speed."""
    if not len(rpm) or peak_rpm <= 0:
        return False
    return float(np.median(rpm[: blocks_in(limits.REVVED_WITHIN_S)])) > limits.REVVED_SHARE * peak_rpm


def _idle_rpm(before_rpm: Float64s, low_rpm: float) -> float | None:
    """The speed of tickover, from the speeds followed before the rise; None where there is too little of it."""
    ticking = before_rpm[np.abs(np.log(before_rpm / low_rpm)) < limits.IDLE_SPREAD_LOG]
    return float(np.median(ticking)) if len(ticking) >= limits.IDLE_AT_LEAST_BLOCKS else None


def _lulls(loud: Float64s) -> float:
    smooth = ndimage.uniform_filter1d(loud, limits.LULL_BLOCKS, mode="nearest")
    return float(np.percentile(smooth, limits.LULL_PERCENTILE) - np.median(smooth))


def _half_open_s(loud: Float64s, start: int) -> float:
    """When the throttle is half open, s: soon after the speed leaves tickover, or earlier if the sound swells first.

    A carburettor that bogs makes the engine loud and uneven as soon as the slide is up. Only then does it rev.
    """
    by_speed_s = int(start) * limits.BLOCK_S + limits.OPENS_AFTER_S
    smooth = ndimage.uniform_filter1d(loud, limits.SWELL_OVER_BLOCKS, mode="nearest")
    idle = smooth[max(start - limits.IDLE_BLOCKS, 0) : max(start - limits.BOG_BLOCKS, 1)]
    near = np.arange(max(start - limits.BOG_BLOCKS, 0), min(start + limits.SWELL_NEAR_BLOCKS, len(smooth)))
    if len(idle) < limits.SWELL_NEAR_BLOCKS:
        return by_speed_s
    quiet = float(np.percentile(idle, limits.IDLE_PERCENTILE))
    swollen = float(smooth[near[-limits.SWELL_NEAR_BLOCKS :]].max())
    if swollen - quiet < limits.OPENING_SWELL:
        return by_speed_s
    below = np.flatnonzero(smooth[near] < quiet + limits.SWELL_SHARE * (swollen - quiet))
    at = int(near[below[-1]]) + 1 if len(below) else int(near[0])
    return min(by_speed_s, at * limits.BLOCK_S)


def _start_of_fall(rpm: Float64s, evidence: Float64s, start: int, above: float) -> int:
    """The last block at which the throttle is open by the speed, moved to when it was shut: the speed is up and no
    lower than just before, or it gains. An engine that fails is thrown back and comes up again, one that is shut only
    falls.
    """
    width = blocks_in(limits.LOOK_BACK_S)
    padded = np.pad(rpm, (width - 1, 0), mode="edge")
    recent = np.percentile(np.lib.stride_tricks.sliding_window_view(padded, width), limits.SHUT_PERCENTILE, axis=1)
    stays = (rpm >= limits.SHUT_SHARE * recent) & (evidence > limits.ENDS_FROM)
    comes_up = (_gains_log_s(rpm) > limits.RISES_AGAIN_LOG_S) & (evidence > limits.RISES_AGAIN_FROM)
    up = np.flatnonzero((stays | comes_up) & (rpm > above))
    up = up[up > start]
    if not len(up) or up[-1] >= len(rpm) - limits.ENDS_OPEN_BLOCKS:
        return len(rpm)
    return max(int(up[-1]) - blocks_in(limits.SHUTS_BEFORE_S), start)


def _loud_to(loud: Float64s, up: int, end: int) -> int:
    """The end of the hold, or an earlier one if from there on it is never again as loud as when it came up.

    After the shut the path may follow a voice. It hardly ever is as loud as the engine was. up: where the hold begins
    to be up.
    """
    smooth = ndimage.uniform_filter1d(loud, limits.LOUD_OVER_BLOCKS, mode="nearest")
    first = smooth[up : min(end, up + limits.LOUD_AT_FIRST_BLOCKS)]
    if len(first) < limits.LOUD_LEAST_BLOCKS:
        return end
    was_loud = float(np.percentile(first, limits.LOUD_AT_FIRST_PERCENTILE))
    loudest = up + int(np.flatnonzero(smooth[up:end] > was_loud - limits.QUIETER_FOR_GOOD)[-1])
    return _sharpened(loud, loudest) if end - loudest > limits.LOUD_LEAST_BLOCKS else end


def _gains_log_s(rpm: Float64s) -> Float64s:
    """(blocks,): change of ln speed a second about each block."""
    aside = limits.RISES_AGAIN_BLOCKS
    ln_rpm = np.pad(np.log(rpm), aside, mode="edge")
    return np.asarray((ln_rpm[2 * aside :] - ln_rpm[: -2 * aside]) / (2 * aside * limits.BLOCK_S))


def _sharpened(loud: Float64s, end: int) -> int:
    """The end of the hold moved to where the sound drops most, if it drops much near the end by the speed."""
    if end >= len(loud) - limits.SHARPENED_LEAST_BLOCKS:
        return end
    smooth = ndimage.uniform_filter1d(loud, limits.SHARPENED_OVER_BLOCKS, mode="nearest")
    (before, after), (back, on) = limits.SHARPENED_BLOCKS, limits.SHARPENED_NEAR_BLOCKS
    near = np.arange(max(end - back, before), min(end + on, len(loud) - before - after))
    drops = smooth[near - before] - smooth[near + after]
    best = int(drops.argmax()) if len(drops) else 0
    return int(near[best]) if len(drops) and drops[best] > limits.SHARPENED_DROP else end
