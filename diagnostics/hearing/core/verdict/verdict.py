"""From what was heard to a verdict: rules for `unclear`, then the calibrated chance that the features give."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from diagnostics.core.arrays import Float64s
from diagnostics.core.findings import BREAKS_DOWN, REVS_OUT, UNCLEAR
from diagnostics.hearing.core.following.course import HIGHEST_IDLE_RPM, Climb
from diagnostics.hearing.core.following.parts import Parts
from diagnostics.hearing.core.following.phase import BLOCK_S
from diagnostics.hearing.core.following.track import Track
from diagnostics.hearing.core.heard import Reason
from diagnostics.hearing.core.verdict import fitted
from diagnostics.hearing.core.verdict.drop_outs import runs_of
from diagnostics.hearing.core.verdict.features import NAMES, RICH_MOSTLY, slopes

LEAST_HOLD_S = 1.0  # contract
SUREST = 0.985  # sounds unlike those it was fitted on will come; common sense, no source
SILENT_LULLS = -4.0  # natural logarithm of loudness: an engine that turns is never so quiet; seen on generated clips
LEAST_PEAK_RPM = 2500.0  # an engine that is revved gets there; common practice, no source
UP_FROM = 0.75  # of the peak: the climb is nearly over
FASTEST_LOG_S = 2.0  # change of ln speed a second that no engine makes at speed; common practice, no source
FAST_FALLS_AT_MOST = 0.1  # share of the time in which it may seem to fall so fast
DIVES_AT_MOST = 0.15  # share of the time in which the speed may fall as no engine does that fires
STILL_LOG_S = 0.15  # slower counts as standing still
STEP_AT_LEAST, STEP_AT_MOST_S, STILL_AROUND_S = 0.04, 0.18, 0.08  # ln speed; how long it lasts; stillness to both sides
STEPS_FROM, STEPS_A_SECOND = 5, 0.7  # a tune has more than one a second, an engine hardly any
LEAST_SWELL = -0.6  # an opened throttle does not quieten (natural logarithm of loudness, automatic gain and noise)
LEAST_IDLE_EVIDENCE = 0.6  # what is heard before the rise must be an engine too
# Where noise or a voice drowns tickover the climb shows the rise as well: a plain one after tickover of so long, or a
# fainter one after longer, a sound that swells, has no pauses as speech has, and falls as a flywheel lets it.
PLAIN_TOTAL, PLAIN_MEAN, PLAIN_TICKS_S = 12.0, 0.95, 0.6
FAINT_TOTAL, FAINT_MEAN, FAINT_TICKS_S = 5.0, 0.8, 1.2
DROWNED_LOG_S, DROWNED_FALLS_AT_MOST, DROWNED_SWELL, PAUSE = 1.3, 0.1, -0.3, -1.6
# The speed of the hold, heard already before the rise, while the sound does not swell: the rise was before the clip.
UP_ALREADY, SWELLS = 0.9, 0.1
GAINS_LOG_S = -0.2  # firing that fails while the speed gains more than this is none that fails, but a gain that swings
OFTEN_WEAK = 0.28  # share of firings, out of any rhythm: an ignition that fails or cuts, however short each time
LEAST_CLIMB = 0.6  # evidence in the climb: less is a jump through nothing
BEFORE_S = 1.2
LEAST_CLEAR = 0.8  # evidence in the better half of the hold, or in the climb, where even a bad ignition fires
LEAST_HEARD = 0.63  # evidence in the hold, which failing firing lowers
CLIMB_BLOCKS = 15


@dataclass(frozen=True)
class Verdict:
    """confidence: share of right ones among verdicts so sure; for unclear the chance that none could be given."""

    verdict: str
    confidence: float
    reason: Reason


def chance_of_breakdown(values: dict[str, float]) -> float:
    """Probability that the ignition breaks down, by the fitted logistic model."""
    total = fitted.VERDICT["always"]
    for name in NAMES:
        middle, spread = fitted.SCALES[name]
        total += fitted.VERDICT[name] * float(np.clip((values[name] - middle) / spread, -3, 3))
    return float(np.clip(1 / (1 + np.exp(-np.clip(total, -30, 30))), 1 - SUREST, SUREST))


def why_unclear(track: Track, parts: Parts) -> Reason | None:
    """Why no verdict is given, if so: by rules on what the sound itself shows, before any probability."""
    if parts.held is None:
        return parts.why or Reason.NO_RISE
    if parts.from_rpm > HIGHEST_IDLE_RPM:
        return Reason.BEGINS_LATE
    if (parts.peak_rpm or 0.0) < LEAST_PEAK_RPM:
        return Reason.NO_RISE
    if parts.held[1] - parts.held[0] < LEAST_HOLD_S:
        return Reason.SHORT_HOLD
    blocks = slice(int(parts.held[0] / BLOCK_S), int(parts.held[1] / BLOCK_S))
    return _why_no_rise(track, parts, blocks) or _why_no_hold(track, parts, blocks)


def _why_no_rise(track: Track, parts: Parts, blocks: slice) -> Reason | None:
    before = slice(max(blocks.start - round(BEFORE_S / BLOCK_S), 0), max(blocks.start - 15, 1))
    up = _up_at(track, parts, blocks)
    ticks = parts.idle_rpm is not None and float(track.evidence[before].mean()) >= LEAST_IDLE_EVIDENCE
    if track.climb is None or _climb_evidence(track, blocks, up) < LEAST_CLIMB:
        return Reason.BEGINS_LATE
    if track.climb.ahead > UP_ALREADY and parts.swell < SWELLS:
        return Reason.BEGINS_LATE
    if ticks or _rise_is_plain(track.climb, parts, track.rpm[up : blocks.stop]):
        return None
    return Reason.BEGINS_LATE


def _why_no_hold(track: Track, parts: Parts, blocks: slice) -> Reason | None:
    up, hold = _up_at(track, parts, blocks), track.evidence[blocks]
    if parts.lulls < SILENT_LULLS:
        return Reason.NO_ENGINE
    if parts.swell < LEAST_SWELL:
        return Reason.NO_SWELL
    if _jumps(track.rpm[: blocks.stop], up):
        return Reason.JUMPS
    clear = max(float(np.percentile(hold, 60)), _climb_evidence(track, blocks, up))
    return Reason.FAINT if clear < LEAST_CLEAR or float(np.median(hold)) < LEAST_HEARD else None


def _up_at(track: Track, parts: Parts, blocks: slice) -> int:
    """The block of the hold at which the speed is nearly up."""
    return int(blocks.start + np.argmax(track.rpm[blocks] > UP_FROM * (parts.peak_rpm or 0.0)))


def _climb_evidence(track: Track, blocks: slice, up: int) -> float:
    return float(np.median(track.evidence[blocks.start : max(up, blocks.start + CLIMB_BLOCKS)]))


def _rise_is_plain(climb: Climb, parts: Parts, hold_rpm: Float64s) -> bool:
    """Whether the rise is heard though tickover is drowned; hold_rpm: the speed once it is up."""
    plain = climb.total > PLAIN_TOTAL and climb.mean > PLAIN_MEAN and climb.ticks_s > PLAIN_TICKS_S
    faint = climb.total > FAINT_TOTAL and climb.mean > FAINT_MEAN and climb.ticks_s > FAINT_TICKS_S
    sounds = parts.swell > DROWNED_SWELL and parts.lulls > PAUSE
    return (plain or faint) and sounds and not _falls_as_no_engine(hold_rpm, DROWNED_LOG_S, DROWNED_FALLS_AT_MOST)


def _jumps(rpm: Float64s, up: int) -> bool:
    """Whether the speed moves as no engine's does: falls too fast once it is up, or steps as a tune does."""
    steps = steps_in(rpm)
    tune = steps >= STEPS_FROM and steps >= STEPS_A_SECOND * len(rpm) * BLOCK_S
    return tune or _falls_as_no_engine(rpm[up:], FASTEST_LOG_S, FAST_FALLS_AT_MOST)


def _falls_as_no_engine(rpm: Float64s, log_s: float, at_most: float) -> bool:
    """Whether the speed, once up, falls faster than a flywheel lets it for more of the time than may be."""
    return len(rpm) > 0 and float(np.mean(slopes(rpm) < -log_s)) > at_most


def steps_in(rpm: Float64s) -> int:
    """How often the speed stands still, moves at once and stands still again, as notes do and engines do not.

    >>> steps_in(np.repeat([3000.0, 4000.0, 3500.0, 3500.0], 20))
    2
    >>> steps_in(np.linspace(2000.0, 9000.0, 80))
    0
    """
    still = np.abs(slopes(rpm)) < STILL_LOG_S
    around = round(STILL_AROUND_S / BLOCK_S)
    steps = 0
    for first, last in runs_of(~still):
        if first < around or last + around > len(rpm) or (last - first) * BLOCK_S > STEP_AT_MOST_S:
            continue
        moved = abs(float(np.log(rpm[last] / rpm[first - 1])))
        steps += bool(
            still[first - around : first].all() and still[last : last + around].all() and moved > STEP_AT_LEAST
        )
    return steps


def _can_fail(values: dict[str, float], lost: list[tuple[float, float]]) -> bool:
    """Whether firing can be shown to fail: in drop-outs, or often for a moment each, and an engine that does not fire
    gains no speed meanwhile."""
    return (bool(lost) or values["weak_firings"] >= OFTEN_WEAK) and values["slows"] > GAINS_LOG_S


def judge(values: dict[str, float], lost: list[tuple[float, float]]) -> Verdict:
    """Verdict, confidence and reason where the rules leave it to the probability."""
    chance = chance_of_breakdown(values)
    sure = max(chance, 1 - chance)
    if values["dives"] > DIVES_AT_MOST:
        return Verdict(UNCLEAR, fitted.RULED_OUT, Reason.JUMPS)
    least = fitted.BREAKS_FROM if chance > 0.5 else fitted.CLEAR_FROM
    if sure < least or (chance > 0.5 and not _can_fail(values, lost)):
        return Verdict(UNCLEAR, round(float(np.clip(2 * (1 - sure), 0, 1)), 3), Reason.DOUBT)
    if chance < 0.5:
        is_rich = values["skipping"] > RICH_MOSTLY
        return Verdict(REVS_OUT, round(sure, 3), Reason.HOLDS_RICH if is_rich else Reason.HOLDS)
    return Verdict(BREAKS_DOWN, round(sure, 3), Reason.FAILS)
