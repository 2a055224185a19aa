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
from diagnostics.hearing.core import limits, verdict_limits
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
    total, most = fitted.VERDICT["always"], verdict_limits.FEATURES_AT_MOST
    for name in NAMES:
        middle, spread = fitted.SCALES[name]
        total += fitted.VERDICT[name] * float(np.clip((getattr(found, name) - middle) / spread, -most, most))
    return float(np.clip(1 / (1 + np.exp(-total)), 1 - verdict_limits.SUREST, verdict_limits.SUREST))


def why_unclear(track: Track, parts: Parts) -> HeardReason | None:
    """Why no verdict is given, if so: by rules on what the sound itself shows, before any probability."""
    if parts.held is None:
        return parts.why or HeardReason.NO_RISE
    if parts.from_rpm > limits.HIGHEST_IDLE_RPM:
        return HeardReason.BEGINS_LATE
    if (parts.peak_rpm or 0.0) < verdict_limits.LEAST_PEAK_RPM:
        return HeardReason.NO_RISE
    if parts.held[1] - parts.held[0] < verdict_limits.LEAST_HOLD_S:
        return HeardReason.SHORT_HOLD
    if parts.held[1] - parts.held[0] > verdict_limits.LONGEST_HOLD_S:
        return HeardReason.LONG_HOLD
    blocks = slice(block_at(parts.held[0]), block_at(parts.held[1]))
    return _why_no_rise(track, parts, blocks) or _why_no_hold(track, parts, blocks)


def _why_no_rise(track: Track, parts: Parts, blocks: slice) -> HeardReason | None:
    begins = max(blocks.start - blocks_in(verdict_limits.IDLE_BEFORE_S), 0)
    before = slice(begins, max(blocks.start - verdict_limits.IDLE_BEFORE_ENDS_BLOCKS, 1))
    up, ticking = _up_at(track, parts, blocks), float(track.evidence[before].mean())
    if _climb_evidence(track, blocks, up) < verdict_limits.LEAST_CLIMB:
        return HeardReason.NO_CLIMB
    if track.climb is None:
        return None if _has_risen(parts, ticking) else HeardReason.NO_CLIMB
    if track.climb.ahead > verdict_limits.UP_ALREADY and parts.swell < verdict_limits.SWELLS_NO_MORE:
        return HeardReason.BEGINS_LATE
    ticks = parts.idle_rpm is not None and ticking >= verdict_limits.IDLE_EVIDENCE
    if ticks or _rise_is_plain(track.climb, parts, track.rpm[up : blocks.stop]):
        return None
    return HeardReason.NO_TICKOVER


def _has_risen(parts: Parts, ticking: float) -> bool:
    """Whether tickover and hold show that the engine climbed where the climb itself is not found, as where it ends low:
    it ticks over plainly, then is far faster, and louder. What drives by changes gear: it is never so much faster.
    """
    is_far = (parts.peak_rpm or 0.0) >= verdict_limits.RISEN_TIMES * parts.from_rpm
    return is_far and ticking >= verdict_limits.RISEN_TICKS and parts.swell >= verdict_limits.RISEN_SWELL


def _why_no_hold(track: Track, parts: Parts, blocks: slice) -> HeardReason | None:
    up, hold = _up_at(track, parts, blocks), track.evidence[blocks]
    if parts.lulls < verdict_limits.SILENT_LULLS:
        return HeardReason.NO_ENGINE
    if parts.swell < verdict_limits.LEAST_SWELL:
        return HeardReason.NO_SWELL
    if _is_tune(track.rpm[: blocks.stop]) or (
        not _is_plain(track.climb) and _dives_for_long(track.rpm[up : blocks.stop])
    ):
        return HeardReason.JUMPS
    clear = max(float(np.percentile(hold, verdict_limits.CLEAR_PERCENTILE)), _climb_evidence(track, blocks, up))
    return (
        HeardReason.FAINT
        if clear < verdict_limits.LEAST_CLEAR or float(np.median(hold)) < verdict_limits.LEAST_HEARD
        else None
    )


def _up_at(track: Track, parts: Parts, blocks: slice) -> int:
    """The block of the hold at which the speed is nearly up."""
    return int(blocks.start + np.argmax(track.rpm[blocks] > verdict_limits.UP_FROM * (parts.peak_rpm or 0.0)))


def _climb_evidence(track: Track, blocks: slice, up: int) -> float:
    return float(np.median(track.evidence[blocks.start : max(up, blocks.start + verdict_limits.CLIMB_BLOCKS)]))


def _rise_is_plain(climb: Climb, parts: Parts, hold_rpm: Float64s) -> bool:
    """Whether the rise shows although tickover is drowned. hold_rpm: the speed once it is up."""
    faint = (
        climb.total > verdict_limits.FAINT_TOTAL
        and climb.mean > verdict_limits.FAINT_MEAN
        and climb.ticks_s > verdict_limits.FAINT_TICKS_S
    )
    if (
        not (_is_plain(climb) or faint)
        or parts.swell <= verdict_limits.DROWNED_SWELL
        or parts.lulls <= verdict_limits.DROWNED_PAUSE
    ):
        return False
    return not _falls_as_no_engine(hold_rpm, verdict_limits.DROWNED_LOG_S, verdict_limits.DROWNED_FALLS_AT_MOST)


def _is_plain(climb: Climb | None) -> bool:
    """Whether a climb alone shows that an engine was revved. Then a path that falls too fast was led astray where
    firing fails; what dives too often is still told from the hold (judge).
    """
    return (
        climb is not None
        and climb.total > verdict_limits.PLAIN_TOTAL
        and climb.mean > verdict_limits.PLAIN_MEAN
        and climb.ticks_s > verdict_limits.PLAIN_TICKS_S
    )


def _is_tune(rpm: Float64s) -> bool:
    """Whether the speed moves in steps, as notes do."""
    steps = steps_in(rpm)
    return steps >= verdict_limits.STEPS_FROM and steps >= verdict_limits.STEPS_A_SECOND * len(rpm) * limits.BLOCK_S


def _dives_for_long(rpm: Float64s) -> bool:
    """Whether the speed, once up, falls too fast too often."""
    return _falls_as_no_engine(rpm, verdict_limits.FASTEST_LOG_S, verdict_limits.FAST_FALLS_AT_MOST)


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
    still = np.abs(slopes(rpm)) < verdict_limits.STILL_LOG_S
    around = blocks_in(verdict_limits.STILL_AROUND_S)
    steps = 0
    for first, last in runs_of(~still):
        if (
            first < around
            or last + around > len(rpm)
            or (last - first) * limits.BLOCK_S > verdict_limits.STEP_AT_MOST_S
        ):
            continue
        is_still = still[first - around : first].all() and still[last : last + around].all()
        moved = abs(float(np.log(rpm[last] / rpm[first - 1])))
        steps += bool(is_still and moved > verdict_limits.STEP_LEAST_LOG)
    return steps


def _how_it_fails(found: Features, lost: list[tuple[float, float]]) -> HeardReason | None:
    """What shows that firing fails: drop-outs, many weak firings, or a speed that is thrown back whenever the sound
    falls (walls may fill every drop-out); None where nothing does. An engine that does not fire gains no speed, unless
    it is one that keeps gaining what it lost: the gaps found may then lie a little beside the true ones.
    """
    if found.slows <= verdict_limits.GAINS_LOG_S and found.regains < verdict_limits.REGAINS_OFTEN:
        return None
    if lost or found.weak_firings >= verdict_limits.OFTEN_WEAK:
        return HeardReason.FAILS
    return HeardReason.THROWN_BACK if found.pull >= verdict_limits.THROWN_BACK else None


def _fails_plainly(found: Features) -> bool:
    """Whether one sign alone is enough: of sound engines none loses so many firings without a rhythm, or gains and
    loses speed so strictly with its loudness.
    """
    return found.weak_firings >= verdict_limits.FAILS_OFTEN or found.pull >= verdict_limits.PULLS_PLAINLY


def judge(found: Features, lost: list[tuple[float, float]]) -> Verdict:
    """Verdict, confidence and reason where the rules leave it to the probability. What fails may fall like a stone."""
    chance, how = chance_of_breakdown(found), _how_it_fails(found, lost)
    if _fails_plainly(found):
        chance = max(chance, verdict_limits.PLAIN_CHANCE)
    sure = max(chance, 1 - chance)
    if chance > 0.5 and sure >= fitted.BREAKS_FROM and how:
        return Verdict(BREAKS_DOWN, round(sure, 3), how)
    if found.dives > verdict_limits.DIVES_AT_MOST:
        return unclear(HeardReason.JUMPS)
    if chance < 0.5 and sure >= fitted.CLEAR_FROM:
        is_rich = found.skipping > verdict_limits.RICH_SHARE
        return Verdict(REVS_OUT, round(sure, 3), HeardReason.HOLDS_RICH if is_rich else HeardReason.HOLDS)
    return unclear(HeardReason.DOUBT)
