"""From what was heard to a verdict: rules for `unclear`, then the calibrated chance that the features give.

To be read first in this folder. firings.py measures each firing in the hold, drop_outs.py finds the missing ones,
features.py what that amounts to, dry.py without the walls; settled.py what the speed does. fitted.py is written by a
program.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from diagnostics.core.arrays import Float64s
from diagnostics.core.findings import BREAKS_DOWN, REVS_OUT, UNCLEAR
from diagnostics.hearing.core import limits
from diagnostics.hearing.core.blocks import block_at, blocks_in
from diagnostics.hearing.core.following.climb import Climb
from diagnostics.hearing.core.following.parts import Parts
from diagnostics.hearing.core.following.track import Track
from diagnostics.hearing.core.heard import HeardReason
from diagnostics.hearing.core.verdict import fitted
from diagnostics.hearing.core.verdict.drop_outs import runs_of
from diagnostics.hearing.core.verdict.features import NAMES, Features
from diagnostics.hearing.core.verdict.settled import slopes


@dataclass(frozen=True)
class Verdict:
    """confidence: as in Heard."""

    verdict: str
    confidence: float
    reason: HeardReason


def unclear(reason: HeardReason) -> Verdict:
    """As sure as nobody can answer clips with this reason: where firing is plain, a better ear may."""
    return Verdict(UNCLEAR, fitted.UNCLEAR[reason.value], reason)


def chance_of_breakdown(found: Features) -> float:
    """Probability that the ignition breaks down, by the fitted logistic model."""
    total, most = fitted.VERDICT["always"], limits.FEATURES_AT_MOST
    for name in NAMES:
        middle, spread = fitted.SCALES[name]
        total += fitted.VERDICT[name] * float(np.clip((getattr(found, name) - middle) / spread, -most, most))
    return float(np.clip(1 / (1 + np.exp(-total)), 1 - limits.SUREST, limits.SUREST))


def why_unclear(track: Track, parts: Parts) -> HeardReason | None:
    """Why no verdict is given, if so: by rules on what the sound itself shows, before any probability."""
    if parts.held is None:
        return parts.why or HeardReason.NO_RISE
    if parts.from_rpm > limits.HIGHEST_IDLE_RPM:
        return HeardReason.BEGINS_LATE
    if (parts.peak_rpm or 0.0) < limits.LEAST_PEAK_RPM:
        return HeardReason.NO_RISE
    if parts.held[1] - parts.held[0] < limits.LEAST_HOLD_S:
        return HeardReason.SHORT_HOLD
    if parts.held[1] - parts.held[0] > limits.LONGEST_HOLD_S:
        return HeardReason.LONG_HOLD
    blocks = slice(block_at(parts.held[0]), block_at(parts.held[1]))
    return _why_no_rise(track, parts, blocks) or _why_no_hold(track, parts, blocks)


def _why_no_rise(track: Track, parts: Parts, blocks: slice) -> HeardReason | None:
    begins = max(blocks.start - blocks_in(limits.IDLE_BEFORE_S), 0)
    before = slice(begins, max(blocks.start - limits.IDLE_BEFORE_ENDS_BLOCKS, 1))
    up, ticking = _up_at(track, parts, blocks), float(track.evidence[before].mean())
    if _climb_evidence(track, blocks, up) < limits.LEAST_CLIMB:
        return HeardReason.NO_CLIMB
    if track.climb is None:
        return None if _has_risen(parts, ticking) else HeardReason.NO_CLIMB
    if track.climb.ahead > limits.UP_ALREADY and parts.swell < limits.SWELLS_NO_MORE:
        return HeardReason.BEGINS_LATE
    ticks = parts.idle_rpm is not None and ticking >= limits.IDLE_EVIDENCE
    if ticks or _rise_is_plain(track.climb, parts, track.rpm[up : blocks.stop]):
        return None
    return HeardReason.NO_TICKOVER


def _has_risen(parts: Parts, ticking: float) -> bool:
    """Whether tickover and hold show that the engine climbed where the climb itself is not found, as where it ends low:
    it ticks over plainly, then is far faster, and louder. What drives by changes gear: it is never so much faster.
    """
    is_far = (parts.peak_rpm or 0.0) >= limits.RISEN_TIMES * parts.from_rpm
    return is_far and ticking >= limits.RISEN_TICKS and parts.swell >= limits.RISEN_SWELL


def _why_no_hold(track: Track, parts: Parts, blocks: slice) -> HeardReason | None:
    up, hold = _up_at(track, parts, blocks), track.evidence[blocks]
    if parts.lulls < limits.SILENT_LULLS:
        return HeardReason.NO_ENGINE
    if parts.swell < limits.LEAST_SWELL:
        return HeardReason.NO_SWELL
    if _jumps(track.rpm[: blocks.stop], up):
        return HeardReason.JUMPS
    clear = max(float(np.percentile(hold, limits.CLEAR_PERCENTILE)), _climb_evidence(track, blocks, up))
    return HeardReason.FAINT if clear < limits.LEAST_CLEAR or float(np.median(hold)) < limits.LEAST_HEARD else None


def _up_at(track: Track, parts: Parts, blocks: slice) -> int:
    """The block of the hold at which the speed is nearly up."""
    return int(blocks.start + np.argmax(track.rpm[blocks] > limits.UP_FROM * (parts.peak_rpm or 0.0)))


def _climb_evidence(track: Track, blocks: slice, up: int) -> float:
    return float(np.median(track.evidence[blocks.start : max(up, blocks.start + limits.CLIMB_BLOCKS)]))


def _rise_is_plain(climb: Climb, parts: Parts, hold_rpm: Float64s) -> bool:
    """Whether the rise shows although tickover is drowned. hold_rpm: the speed once it is up."""
    plain = climb.total > limits.PLAIN_TOTAL and climb.mean > limits.PLAIN_MEAN and climb.ticks_s > limits.PLAIN_TICKS_S
    faint = climb.total > limits.FAINT_TOTAL and climb.mean > limits.FAINT_MEAN and climb.ticks_s > limits.FAINT_TICKS_S
    if not (plain or faint) or parts.swell <= limits.DROWNED_SWELL or parts.lulls <= limits.DROWNED_PAUSE:
        return False
    return not _falls_as_no_engine(hold_rpm, limits.DROWNED_LOG_S, limits.DROWNED_FALLS_AT_MOST)


def _jumps(rpm: Float64s, up: int) -> bool:
    """Whether the speed moves as no engine's does: once up it falls too fast, or it moves in steps as a tune does."""
    steps = steps_in(rpm)
    tune = steps >= limits.STEPS_FROM and steps >= limits.STEPS_A_SECOND * len(rpm) * limits.BLOCK_S
    return tune or _falls_as_no_engine(rpm[up:], limits.FASTEST_LOG_S, limits.FAST_FALLS_AT_MOST)


def _falls_as_no_engine(rpm: Float64s, log_s: float, at_most: float) -> bool:
    """Whether the speed, once up, falls faster than a flywheel allows for too much of the time."""
    return len(rpm) > 0 and float(np.mean(slopes(rpm) < -log_s)) > at_most


def steps_in(rpm: Float64s) -> int:
    """How often the speed stands still, jumps and stands still again, as notes do and engines do not.

    >>> steps_in(np.repeat([3000.0, 4000.0, 3500.0, 3500.0], 20))
    2
    >>> steps_in(np.linspace(2000.0, 9000.0, 80))
    0
    """
    still = np.abs(slopes(rpm)) < limits.STILL_LOG_S
    around = blocks_in(limits.STILL_AROUND_S)
    steps = 0
    for first, last in runs_of(~still):
        if first < around or last + around > len(rpm) or (last - first) * limits.BLOCK_S > limits.STEP_AT_MOST_S:
            continue
        is_still = still[first - around : first].all() and still[last : last + around].all()
        moved = abs(float(np.log(rpm[last] / rpm[first - 1])))
        steps += bool(is_still and moved > limits.STEP_LEAST_LOG)
    return steps


def _how_it_fails(found: Features, lost: list[tuple[float, float]]) -> HeardReason | None:
    """What shows that firing fails: drop-outs, many weak firings, or a speed that is thrown back whenever the sound
    falls (walls may fill every drop-out); None where nothing does. An engine that does not fire gains no speed.
    """
    if found.slows <= limits.GAINS_LOG_S:
        return None
    if lost or found.weak_firings >= limits.OFTEN_WEAK:
        return HeardReason.FAILS
    return HeardReason.THROWN_BACK if found.pull >= limits.THROWN_BACK else None


def _fails_plainly(found: Features) -> bool:
    """Whether one sign alone is enough: of sound engines none loses so many firings without a rhythm, or gains and
    loses speed so strictly with its loudness.
    """
    return found.weak_firings >= limits.FAILS_OFTEN or found.pull >= limits.PULLS_PLAINLY


def judge(found: Features, lost: list[tuple[float, float]]) -> Verdict:
    """Verdict, confidence and reason where the rules leave it to the probability. What fails may fall like a stone."""
    chance, how = chance_of_breakdown(found), _how_it_fails(found, lost)
    if _fails_plainly(found):
        chance = max(chance, limits.PLAIN_CHANCE)
    sure = max(chance, 1 - chance)
    if chance > 0.5 and sure >= fitted.BREAKS_FROM and how:
        return Verdict(BREAKS_DOWN, round(sure, 3), how)
    if found.dives > limits.DIVES_AT_MOST:
        return unclear(HeardReason.JUMPS)
    if chance < 0.5 and sure >= fitted.CLEAR_FROM:
        is_rich = found.skipping > limits.RICH_SHARE
        return Verdict(REVS_OUT, round(sure, 3), HeardReason.HOLDS_RICH if is_rich else HeardReason.HOLDS)
    return unclear(HeardReason.DOUBT)
