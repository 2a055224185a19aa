"""What is measured of the hold: few physical features that tell an ignition that breaks down, and what rules need."""

from __future__ import annotations

import numpy as np
from scipy import ndimage

from diagnostics.core.arrays import Float64s
from diagnostics.hearing.core.following.parts import Parts
from diagnostics.hearing.core.following.phase import BLOCK_S
from diagnostics.hearing.core.following.track import Track
from diagnostics.hearing.core.verdict.drop_outs import Firings

BOG_S = 0.5  # so soon after opening it is the slide carburettor, not the ignition; common practice, no source
AT_TOP = 0.88  # share of the hold's speed from which the climb is over
NAMES = ("lost_share", "weak", "wobble", "answers")  # what the model goes by; the rest is for rules and sentences
WEAK, WEAKEST = -0.8, 1.5  # natural logarithm of loudness against firings hereabouts; past the second counts no more
FEW_WEAK = 0.04  # share of weak firings that a sound engine may have: the logarithm begins to tell above it
# The speed answers to so many firings, from a little before to a little after; what changes more slowly is no answer.
ANSWERS_TO, ANSWERS_WITHIN_S, HEREABOUTS, LEAST_ANSWERING = 5, (-0.02, 0.05), 61, 20
SLOPE_S = 0.06
DIVES_LOG_S, LEAST_FIRING_BLOCKS = 1.3, 20  # fall of ln speed a second; common practice, no source
# Where firing seems to fail for less than a quarter of the time, none did if hardly any firing is much quieter (a share
# of them) and the engine does not plainly slow down meanwhile (ln speed a second), or it gains speed: then a load or a
# gain swings. Nor where most of the hold skips evenly: what is missing more now and then is a change of that rhythm.
# Chosen on clips of the ranges of the set `choose` and on firings cut from real saws.
SELDOM, NO_WEAK, PLAINLY_LOG_S, SLOWS_LOG_S, RICH_MOSTLY = 0.25, 0.035, 0.15, 0.02, 0.3


def features(track: Track, parts: Parts, firings: Firings, lost: list[tuple[float, float]]) -> dict[str, float]:
    """What tells a breakdown, and what the rules need. The hold's first BOG_S is left out but for wobble and dives.

    lost_share: square root of the share of time in drop-outs; weak_firings: share of firings that are much quieter and
    in no even rhythm (that is a rich engine's), weak: its logarithm; wobble: mean change of ln speed in six blocks;
    answers: how plainly the speed falls where firings are weak, less where a rhythm is kept; skipping: share of firings
    in an even rhythm; slows: how fast ln speed falls a second in drop-outs; dives: share of time in which the speed
    falls as no engine does that fires.
    """
    assert parts.held is not None  # noqa: S101  only asked where there is a hold
    start_s, end_s = parts.held
    blocks = slice(int(start_s / BLOCK_S), max(int(end_s / BLOCK_S), int(start_s / BLOCK_S) + 1))
    rpm = ndimage.median_filter(track.rpm[blocks], 5, mode="nearest")
    up = int(np.argmax(rpm > AT_TOP * float(np.percentile(rpm, 85))))
    settled = np.log(rpm[min(up + 10, len(rpm) - 1) :])
    begins_s = min(start_s + BOG_S, end_s - 0.3)
    late = firings.at_s >= begins_s
    skipping = float((firings.pattern[late] > 1).mean()) if late.any() else 0.0
    weak = float(((firings.level < WEAK) & late & (firings.pattern == 1)).sum() / max(late.sum(), 1))
    return {
        "lost_share": _share(lost, begins_s, end_s) ** 0.5,
        "weak": float(np.log(FEW_WEAK + weak)),
        "wobble": float(np.clip(np.abs(settled[6:] - settled[:-6]).mean() if len(settled) > 12 else 0.0, 0, 0.2)),
        "answers": (1 - skipping) * answering(track.rpm, firings.at_s[late], firings.level[late]),
        "skipping": skipping,
        "weak_firings": weak,
        "slows": slowing(track.rpm, [gap for gap in lost if gap[0] >= begins_s]),
        "dives": _dives(track.rpm[blocks], up, [(a - start_s, b - start_s) for a, b in lost]),
    }


def answering(rpm: Float64s, at_s: Float64s, level: Float64s) -> float:
    """How plainly the speed falls where firings are weak: a correlation, 0 where it takes no notice of them.

    at_s, level: of each firing. The strength that a phone or the wind gives a firing does not turn the crank.

    >>> answering(np.full(500, 6000.0), np.arange(0.5, 4.5, 0.01), np.tile([0.0, -2.0], 200))
    0.0
    """
    if len(at_s) < LEAST_ANSWERING:
        return 0.0
    ln_rpm = np.log(ndimage.median_filter(rpm, 5, mode="nearest"))
    middle_s = (np.arange(len(rpm)) + 0.5) * BLOCK_S
    before, after = (np.interp(at_s + aside_s, middle_s, ln_rpm) for aside_s in ANSWERS_WITHIN_S)
    weak = ndimage.uniform_filter1d(np.clip(-level, 0, WEAKEST), ANSWERS_TO, mode="nearest")
    fall, weak = (
        values - ndimage.uniform_filter1d(values, HEREABOUTS, mode="nearest") for values in (before - after, weak)
    )
    return float((fall @ weak) / (np.linalg.norm(fall) * np.linalg.norm(weak) + 1e-7))


def measured(
    track: Track, parts: Parts, firings: Firings, lost: list[tuple[float, float]]
) -> tuple[dict[str, float], list[tuple[float, float]]]:
    """The features, and the drop-outs without those that can be none: all of them, or none, as they are told apart by
    what they do together."""
    values = features(track, parts, firings, lost)
    seldom = values["lost_share"] ** 2 < SELDOM
    slows, weak = values["slows"], values["weak_firings"]
    none = (weak < NO_WEAK and slows < PLAINLY_LOG_S) or slows < -SLOWS_LOG_S or values["skipping"] > RICH_MOSTLY
    if lost and seldom and none:
        return features(track, parts, firings, []), []
    return values, lost


def slowing(rpm: Float64s, lost: list[tuple[float, float]]) -> float:
    """How fast ln speed falls a second while firing fails, on the mean: an engine that does not fire slows down.

    >>> round(slowing(np.exp(np.arange(100.0) * -0.01), [(0.2, 0.4), (0.5, 0.8)]), 3)
    1.0
    """
    fell, lasted_s = 0.0, 0.0
    for start_s, end_s in lost:
        first, last = int(start_s / BLOCK_S), int(np.ceil(end_s / BLOCK_S))
        before, after = rpm[max(first - 2, 0) : first + 3], rpm[max(last - 2, 0) : last + 3]
        if len(before) and len(after):
            fell += float(np.log(np.median(before) / np.median(after)))
            lasted_s += (last - first) * BLOCK_S
    return fell / max(lasted_s, BLOCK_S)


def slopes(rpm: Float64s) -> Float64s:
    """Change of ln speed a second about each block, over SLOPE_S."""
    smooth = np.log(ndimage.median_filter(rpm, 5, mode="nearest"))
    half = round(SLOPE_S / BLOCK_S) // 2
    found = np.zeros(len(smooth))
    if len(smooth) > 2 * half:
        found[half:-half] = (smooth[2 * half :] - smooth[: -2 * half]) / SLOPE_S
    return found


def _dives(rpm: Float64s, up: int, lost: list[tuple[float, float]]) -> float:
    """Share of the time from block `up` on, drop-outs apart, in which it falls as no engine does that fires."""
    falls = slopes(rpm) < -DIVES_LOG_S
    fires = np.arange(len(rpm)) >= up
    for start_s, end_s in lost:
        fires[max(round((start_s - SLOPE_S) / BLOCK_S), 0) : max(round((end_s + SLOPE_S) / BLOCK_S), 0)] = False
    return float(falls[fires].mean()) if fires.sum() > LEAST_FIRING_BLOCKS else 0.0


def _share(lost: list[tuple[float, float]], start_s: float, end_s: float) -> float:
    """Share of the time between that is lost.

    >>> _share([(0.0, 1.0), (3.0, 5.0)], 0.5, 4.5)
    0.5
    """
    return float(sum(max(0.0, min(b, end_s) - max(a, start_s)) for a, b in lost) / max(end_s - start_s, 1e-6))
