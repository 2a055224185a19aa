"""What is measured of the hold: a few physical features of an ignition that breaks down, and what the rules need."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import ndimage

from diagnostics.core.arrays import Float64s
from diagnostics.hearing.core import limits
from diagnostics.hearing.core.blocks import block_at, blocks_in, middles_s
from diagnostics.hearing.core.following.parts import Parts
from diagnostics.hearing.core.following.track import Track
from diagnostics.hearing.core.verdict.firings import Firings

NAMES = ("lost_share", "weak", "wobble", "answers")  # what the model goes by; the rest is for rules and sentences


@dataclass(frozen=True)
class Features:
    """What marks a breakdown, and what the rules need. All but wobble and dives leave out the hold's first BOG_S.

    lost_share: square root of the share of time in drop-outs. weak_firings: share of firings that are much quieter and
    in no even rhythm (a rich engine keeps one); weak: its logarithm. wobble: mean change of ln speed in WOBBLE_BLOCKS.
    answers: how plainly the speed falls where firings are weak, less where a rhythm is kept. skipping: share of firings
    in an even rhythm. slows: how fast ln speed falls a second in drop-outs. dives: share of time in which the speed
    falls as it cannot while firing.
    """

    lost_share: float
    weak: float
    wobble: float
    answers: float
    skipping: float
    weak_firings: float
    slows: float
    dives: float


def features(track: Track, parts: Parts, firings: Firings, lost: list[tuple[float, float]]) -> Features:
    """Of a hold, and of the drop-outs in it."""
    assert parts.held is not None  # noqa: S101  only asked where there is a hold
    start_s, end_s = parts.held
    first = block_at(start_s)
    blocks = slice(first, max(block_at(end_s), first + 1))
    rpm = ndimage.median_filter(track.rpm[blocks], limits.MEDIAN_BLOCKS, mode="nearest")
    up = int(np.argmax(rpm > limits.AT_TOP * float(np.percentile(rpm, limits.AT_TOP_PERCENTILE))))
    begins_s = min(start_s + limits.BOG_S, end_s - limits.BOG_LEAVES_S)
    late = firings.at_s >= begins_s
    skipping = float((firings.pattern[late] > 1).mean()) if late.any() else 0.0
    weak = float(((firings.level < limits.WEAK) & late & (firings.pattern == 1)).sum() / max(late.sum(), 1))
    return Features(
        lost_share=_share(lost, begins_s, end_s) ** 0.5,
        weak=float(np.log(limits.FEW_WEAK + weak)),
        wobble=_wobble(np.log(rpm[min(up + limits.AT_TOP_BLOCKS, len(rpm) - 1) :])),
        answers=(1 - skipping) * answering(track.rpm, firings.at_s[late], firings.level[late]),
        skipping=skipping,
        weak_firings=weak,
        slows=slowing(track.rpm, [gap for gap in lost if gap[0] >= begins_s]),
        dives=_dives(track.rpm[blocks], up, [(a - start_s, b - start_s) for a, b in lost]),
    )


def _wobble(ln_rpm: Float64s) -> float:
    width = limits.WOBBLE_BLOCKS
    changes = np.abs(ln_rpm[width:] - ln_rpm[:-width]).mean() if len(ln_rpm) > 2 * width else 0.0
    return float(np.clip(changes, 0, limits.WOBBLE_AT_MOST))


def answering(rpm: Float64s, at_s: Float64s, level: Float64s) -> float:
    """How plainly the speed falls where firings are weak: a correlation, 0 where the one has nothing to do with the
    other. A firing that only a phone or the wind makes louder does not turn the crank. at_s, level: of each firing.

    >>> answering(np.full(500, 6000.0), np.arange(0.5, 4.5, 0.01), np.tile([0.0, -2.0], 200))
    0.0
    """
    if len(at_s) < limits.ANSWERS_AT_LEAST:
        return 0.0
    ln_rpm = np.log(ndimage.median_filter(rpm, limits.MEDIAN_BLOCKS, mode="nearest"))
    at_middles_s = middles_s(len(rpm))
    before, after = (np.interp(at_s + aside_s, at_middles_s, ln_rpm) for aside_s in limits.ANSWERS_WITHIN_S)
    weak = ndimage.uniform_filter1d(np.clip(-level, 0, limits.WEAKEST), limits.ANSWERS_TO, mode="nearest")
    fall, weak = (
        values - ndimage.uniform_filter1d(values, limits.ANSWERS_AMONG, mode="nearest")
        for values in (before - after, weak)
    )
    return float((fall @ weak) / (np.linalg.norm(fall) * np.linalg.norm(weak) + 1e-7))


def measured(
    track: Track, parts: Parts, firings: Firings, lost: list[tuple[float, float]]
) -> tuple[Features, list[tuple[float, float]]]:
    """The features, and the drop-outs: all of them, or none where together they do nothing that drop-outs do."""
    found = features(track, parts, firings, lost)
    is_seldom = found.lost_share**2 < limits.SELDOM
    is_none = (
        (found.weak_firings < limits.NONE_WEAK and found.slows < limits.NONE_SLOWS_LOG_S)
        or found.slows < -limits.NONE_GAINS_LOG_S
        or found.skipping > limits.RICH_SHARE
    )
    if lost and is_seldom and is_none:
        return features(track, parts, firings, []), []
    return found, lost


def slowing(rpm: Float64s, lost: list[tuple[float, float]]) -> float:
    """How fast ln speed falls a second while firing fails, on average: an engine that does not fire slows down.

    >>> round(slowing(np.exp(np.arange(100.0) * -0.01), [(0.2, 0.4), (0.5, 0.8)]), 3)
    1.0
    """
    fell, lasted_s, aside = 0.0, 0.0, limits.SLOWING_BLOCKS
    for start_s, end_s in lost:
        first, last = block_at(start_s), int(np.ceil(end_s / limits.BLOCK_S))
        before, after = (rpm[max(edge - aside, 0) : edge + aside + 1] for edge in (first, last))
        if len(before) and len(after):
            fell += float(np.log(np.median(before) / np.median(after)))
            lasted_s += (last - first) * limits.BLOCK_S
    return fell / max(lasted_s, limits.BLOCK_S)


def slopes(rpm: Float64s) -> Float64s:
    """(blocks,): change of ln speed a second about each block, over SLOPE_S."""
    smooth = np.log(ndimage.median_filter(rpm, limits.MEDIAN_BLOCKS, mode="nearest"))
    half = blocks_in(limits.SLOPE_S) // 2
    found = np.zeros(len(smooth))
    if len(smooth) > 2 * half:
        found[half:-half] = (smooth[2 * half :] - smooth[: -2 * half]) / limits.SLOPE_S
    return found


def _dives(rpm: Float64s, up: int, lost: list[tuple[float, float]]) -> float:
    """Share of the time from block `up` on, outside drop-outs, in which the speed falls as it cannot while firing."""
    falls = slopes(rpm) < -limits.DIVES_LOG_S
    fires = np.arange(len(rpm)) >= up
    for start_s, end_s in lost:
        first, last = (blocks_in(at_s) for at_s in (start_s - limits.SLOPE_S, end_s + limits.SLOPE_S))
        fires[max(first, 0) : max(last, 0)] = False
    return float(falls[fires].mean()) if fires.sum() > limits.DIVES_BLOCKS else 0.0


def _share(lost: list[tuple[float, float]], start_s: float, end_s: float) -> float:
    """Share of the time between the two that is lost.

    >>> _share([(0.0, 1.0), (3.0, 5.0)], 0.5, 4.5)
    0.5
    """
    return float(sum(max(0.0, min(b, end_s) - max(a, start_s)) for a, b in lost) / max(end_s - start_s, 1e-6))
