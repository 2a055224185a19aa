"""What speed, loudness and evidence do once the engine is up: an ignition that fails throws it back again and again.

No single firing is looked at here. Walls fill the gap that a missed firing leaves, but they keep up no speed.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import ndimage

from diagnostics.core.arrays import Float64s
from diagnostics.hearing.core import limits, verdict_limits
from diagnostics.hearing.core.blocks import block_at, blocks_in
from diagnostics.hearing.core.following.track import Track


@dataclass(frozen=True)
class Settled:
    """The hold from where the climb is over, (blocks,) each. slopes: of ln speed, a second. loud: ln loudness."""

    ln_rpm: Float64s
    slopes: Float64s
    loud: Float64s
    evidence: Float64s


def settled_in(track: Track, loud: Float64s, held: tuple[float, float]) -> Settled:
    """loud: (blocks of the clip,) ln loudness, as loudness() in following/parts.py gives it."""
    first = block_at(held[0])
    last = min(max(block_at(held[1]), first + 1), len(loud))
    rpm = ndimage.median_filter(track.rpm[first:last], verdict_limits.MEDIAN_BLOCKS, mode="nearest")
    begins = first + up_in(rpm) + verdict_limits.AT_TOP_BLOCKS
    blocks = slice(max(min(begins, last - verdict_limits.SETTLED_AT_LEAST_BLOCKS), 0), last)
    ln_rpm = np.log(ndimage.median_filter(track.rpm[blocks], verdict_limits.MEDIAN_BLOCKS, mode="nearest"))
    return Settled(ln_rpm, slopes(track.rpm)[blocks], loud[blocks], track.evidence[blocks])


def up_in(rpm: Float64s) -> int:
    """The block of the hold from which the climb is over. rpm: of the hold's blocks."""
    return int(np.argmax(rpm > verdict_limits.AT_TOP * float(np.percentile(rpm, verdict_limits.AT_TOP_PERCENTILE))))


def slopes(rpm: Float64s) -> Float64s:
    """(blocks,): change of ln speed a second about each block, over SLOPE_S."""
    smooth = np.log(ndimage.median_filter(rpm, verdict_limits.MEDIAN_BLOCKS, mode="nearest"))
    half = blocks_in(verdict_limits.SLOPE_S) // 2
    found = np.zeros(len(smooth))
    if len(smooth) > 2 * half:
        found[half:-half] = (smooth[2 * half :] - smooth[: -2 * half]) / verdict_limits.SLOPE_S
    return found


def regains(those: Settled) -> float:
    """Share of the time in which an engine that is up gains speed: one that is thrown back gains it again, however its
    gaps sound, while a sound one has none to gain.

    >>> up = np.zeros(100)
    >>> regains(Settled(up, np.repeat([0.0, 1.0, -1.0, 0.0], 25), up, up))
    0.25
    """
    return float((those.slopes > verdict_limits.REGAINS_LOG_S).mean())


def abruptness(rpm: Float64s, low_rpm: float) -> float:
    """How fast the speed still climbs just below the top, ln(1 + tops a second). A sound engine runs out of pull on its
    way to its top speed; one that fails is pulling as hard as ever when it meets its ceiling.

    rpm: of the hold's blocks; low_rpm: where the climb began.

    >>> cut_off = np.append(np.linspace(2000.0, 8000.0, 61), np.full(99, 8000.0))
    >>> round(abruptness(cut_off, 2000.0), 1)  # 6,000 rpm of 8,000 in 0.6 s
    0.8
    """
    smooth = ndimage.median_filter(rpm, verdict_limits.MEDIAN_BLOCKS, mode="nearest")
    top_rpm = float(np.percentile(smooth, verdict_limits.AT_TOP_PERCENTILE))
    from_share, to_share = verdict_limits.ABRUPT_BETWEEN
    first, last = (int(np.argmax(smooth > low_rpm + share * (top_rpm - low_rpm))) for share in (from_share, to_share))
    took_s = max(last - first, verdict_limits.ABRUPT_AT_LEAST_BLOCKS) * limits.BLOCK_S
    return float(np.log1p(max(float(smooth[last] - smooth[first]), 0.0) / top_rpm / took_s))


def flutter(those: Settled) -> float:
    """How much ln loudness changes within a few tenths of a second, averaged over three blocks."""
    return float(_fluttering(those).std())


def pull(those: Settled) -> float:
    """Whether the engine gains speed where it is loud and loses it where it is quiet, a correlation: a gain, a gust or
    a hammer turns no crank. The microphone and the smoothing may put the one a few blocks behind the other.
    """
    loud = _fluttering(those)
    if len(loud) < verdict_limits.SETTLED_AT_LEAST_BLOCKS:
        return 0.0
    most = verdict_limits.PULL_BEHIND_BLOCKS
    return max(correlation(loud[: len(loud) - behind], those.slopes[behind:]) for behind in range(most + 1))


def lapses(those: Settled) -> float:
    """How much the evidence for the speed changes within a few tenths of a second: it goes where nothing fires."""
    return float(_quick(those.evidence, verdict_limits.QUICK_BLOCKS).std())


def correlation(ones: Float64s, others: Float64s) -> float:
    """0 where either does not change.

    >>> round(correlation(np.array([1.0, 2.0, 3.0]), np.array([2.0, 4.0, 6.0])), 9)
    1.0
    """
    one, other = ones - ones.mean(), others - others.mean()
    size = float(np.linalg.norm(one) * np.linalg.norm(other))
    return float(one @ other) / size if size > verdict_limits.ALIKE_AT_LEAST else 0.0


def _fluttering(those: Settled) -> Float64s:
    return _quick(
        ndimage.uniform_filter1d(those.loud, verdict_limits.FLUTTER_BLOCKS, mode="nearest"), verdict_limits.QUICK_BLOCKS
    )


def _quick(values: Float64s, blocks: int) -> Float64s:
    """What is left without what changes more slowly than over so many blocks."""
    return np.asarray(values - ndimage.uniform_filter1d(values, blocks, mode="nearest"))
