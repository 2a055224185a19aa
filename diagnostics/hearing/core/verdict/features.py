"""What is measured of the hold: physical features of an ignition that breaks down, and what the rules need."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import ndimage

from diagnostics.core.arrays import Bools, Float64s
from diagnostics.hearing.core import limits, verdict_limits
from diagnostics.hearing.core.blocks import block_at, blocks_in, middles_s
from diagnostics.hearing.core.following.parts import Parts
from diagnostics.hearing.core.following.track import Track
from diagnostics.hearing.core.verdict import dry, settled
from diagnostics.hearing.core.verdict.drop_outs import drop_outs_in
from diagnostics.hearing.core.verdict.firings import Firings

# What the model goes by, and the sign with which each may count: 1 where physics says that more of it speaks for a
# breakdown, -1 where it speaks against one. The rest is for rules and sentences.
SIGNS = {
    "lost_share": 1,
    "weak": 1,
    "missed": 1,
    "shallow": 1,
    "answers": 1,
    "dry_answers": 1,
    "dry_runs": 1,
    "regains": 1,
    "abrupt": 1,
    "flutter": 1,
    "pull": 1,
    "lapses": 1,
    "lulls": 0,
    "skipping": -1,
}
NAMES = tuple(SIGNS)


@dataclass(frozen=True)
class HeardHold:
    """A hold as it is looked at. loud: (blocks of the clip,) ln loudness. missed: (firings,) which did not fire."""

    track: Track
    parts: Parts
    firings: Firings
    missed: Bools
    loud: Float64s


@dataclass(frozen=True)
class Features:
    """What marks a breakdown, and what the rules need. What firings do leaves out the hold's first BOG_S.

    lost_share: square root of the share of time in drop-outs. weak_firings: share of firings that are much quieter and
    in no even rhythm (a rich engine keeps one); weak: its logarithm. missed: share of firings that did not fire.
    shallow: share that are somewhat quieter. answers: how plainly the speed falls where firings are weak, less where a
    rhythm is kept; dry_answers: the same without what the walls add. dry_runs: whether weak firings come in a row,
    without the walls. regains, abrupt, flutter, pull, lapses: verdict/settled.py. lulls: as in Parts. skipping: share
    of firings in an even rhythm. slows: how fast ln speed falls a second in drop-outs. dives: share of time in which
    the speed falls as it cannot while firing.
    """

    lost_share: float
    weak: float
    missed: float
    shallow: float
    answers: float
    dry_answers: float
    dry_runs: float
    regains: float
    abrupt: float
    flutter: float
    pull: float
    lapses: float
    lulls: float
    skipping: float
    slows: float
    weak_firings: float
    dives: float


def features(hold: HeardHold, lost: list[tuple[float, float]]) -> Features:
    """Of a hold, and of the drop-outs in it."""
    assert hold.parts.held is not None  # noqa: S101  only asked where there is a hold
    start_s, end_s = hold.parts.held
    begins_s = min(start_s + verdict_limits.BOG_S, end_s - verdict_limits.BOG_LEAVES_S)
    firings, rpm = hold.firings, hold.track.rpm
    within = slice(block_at(start_s), max(block_at(end_s), block_at(start_s) + 1))
    late = firings.at_s >= begins_s
    at_s, level, power = firings.at_s[late], firings.level[late], firings.power[late]
    skipping = float((firings.pattern[late] > 1).mean()) if late.any() else 0.0
    weak = float(((firings.level < verdict_limits.WEAK) & late & (firings.pattern == 1)).sum() / max(late.sum(), 1))
    dry_level = dry.levels_of(dry.fresh_power(power, at_s)) if len(at_s) > 1 else np.zeros(len(at_s))
    up = settled.settled_in(hold.track, hold.loud, hold.parts.held)
    return Features(
        lost_share=_share(lost, begins_s, end_s) ** 0.5,
        weak=float(np.log(verdict_limits.FEW_WEAK + weak)),
        missed=float(hold.missed.mean()) if len(hold.missed) else 0.0,
        shallow=float((dry.levels_of(power) < verdict_limits.SHALLOW).mean()) if len(power) else 0.0,
        answers=(1 - skipping) * answering(rpm, at_s, level),
        dry_answers=answering(rpm, at_s, dry_level),
        dry_runs=dry.runs(dry_level),
        regains=settled.regains(up),
        abrupt=settled.abruptness(rpm[within], hold.parts.from_rpm),
        flutter=settled.flutter(up),
        pull=settled.pull(up),
        lapses=settled.lapses(up),
        lulls=hold.parts.lulls,
        skipping=skipping,
        slows=slowing(rpm, [gap for gap in lost if gap[0] >= begins_s]),
        weak_firings=weak,
        dives=_dives_in(rpm, (start_s, end_s), lost),
    )


def answering(rpm: Float64s, at_s: Float64s, level: Float64s) -> float:
    """How plainly the speed falls where firings are weak: a correlation, 0 where the one has nothing to do with the
    other. A firing that only a phone or the wind makes louder does not turn the crank. at_s, level: of each firing.

    >>> answering(np.full(500, 6000.0), np.arange(0.5, 4.5, 0.01), np.tile([0.0, -2.0], 200))
    0.0
    """
    if len(at_s) < verdict_limits.ANSWERS_AT_LEAST:
        return 0.0
    ln_rpm = np.log(ndimage.median_filter(rpm, verdict_limits.MEDIAN_BLOCKS, mode="nearest"))
    at_middles_s = middles_s(len(rpm))
    before, after = (np.interp(at_s + aside_s, at_middles_s, ln_rpm) for aside_s in verdict_limits.ANSWERS_WITHIN_S)
    weak = ndimage.uniform_filter1d(
        np.clip(-level, 0, verdict_limits.WEAKEST), verdict_limits.ANSWERS_TO, mode="nearest"
    )
    fall, weak = (
        values - ndimage.uniform_filter1d(values, verdict_limits.ANSWERS_AMONG, mode="nearest")
        for values in (before - after, weak)
    )
    return float((fall @ weak) / (np.linalg.norm(fall) * np.linalg.norm(weak) + 1e-7))


def measured(hold: HeardHold) -> tuple[Features, list[tuple[float, float]]]:
    """The features, and the drop-outs: all of them, or none where together they do nothing that drop-outs do."""
    lost = drop_outs_in(hold.firings, hold.missed)
    found = features(hold, lost)
    is_seldom = found.lost_share**2 < verdict_limits.SELDOM
    is_none = (
        (found.weak_firings < verdict_limits.NONE_WEAK and found.slows < verdict_limits.NONE_SLOWS_LOG_S)
        or found.slows < -verdict_limits.NONE_GAINS_LOG_S
        or found.skipping > verdict_limits.RICH_SHARE
    )
    if lost and is_seldom and is_none:
        return features(hold, []), []
    return found, lost


def slowing(rpm: Float64s, lost: list[tuple[float, float]]) -> float:
    """How fast ln speed falls a second while firing fails, on average: an engine that does not fire slows down.

    >>> round(slowing(np.exp(np.arange(100.0) * -0.01), [(0.2, 0.4), (0.5, 0.8)]), 3)
    1.0
    """
    fell, lasted_s, aside = 0.0, 0.0, verdict_limits.SLOWING_BLOCKS
    for start_s, end_s in lost:
        first, last = block_at(start_s), int(np.ceil(end_s / limits.BLOCK_S))
        before, after = (rpm[max(edge - aside, 0) : edge + aside + 1] for edge in (first, last))
        if len(before) and len(after):
            fell += float(np.log(np.median(before) / np.median(after)))
            lasted_s += (last - first) * limits.BLOCK_S
    return fell / max(lasted_s, limits.BLOCK_S)


def _dives_in(rpm: Float64s, held: tuple[float, float], lost: list[tuple[float, float]]) -> float:
    first = block_at(held[0])
    within = rpm[first : max(block_at(held[1]), first + 1)]
    up = settled.up_in(ndimage.median_filter(within, verdict_limits.MEDIAN_BLOCKS, mode="nearest"))
    return _dives(within, up, [(start_s - held[0], end_s - held[0]) for start_s, end_s in lost])


def _dives(rpm: Float64s, up: int, lost: list[tuple[float, float]]) -> float:
    """Share of the time from block `up` on, outside drop-outs, in which the speed falls as it cannot while firing."""
    falls = settled.slopes(rpm) < -verdict_limits.DIVES_LOG_S
    fires = np.arange(len(rpm)) >= up
    for start_s, end_s in lost:
        first, last = (blocks_in(at_s) for at_s in (start_s - verdict_limits.SLOPE_S, end_s + verdict_limits.SLOPE_S))
        fires[max(first, 0) : max(last, 0)] = False
    return float(falls[fires].mean()) if fires.sum() > verdict_limits.DIVES_BLOCKS else 0.0


def _share(lost: list[tuple[float, float]], start_s: float, end_s: float) -> float:
    """Share of the time between the two that is lost.

    >>> _share([(0.0, 1.0), (3.0, 5.0)], 0.5, 4.5)
    0.5
    """
    return float(sum(max(0.0, min(b, end_s) - max(a, start_s)) for a, b in lost) / max(end_s - start_s, 1e-6))
