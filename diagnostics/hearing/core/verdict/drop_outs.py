"""Which firings in the hold failed: each one's pulse against its neighbours', then runs of missing ones."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from diagnostics.core.arrays import Bools, Float32s, Float64s, Int64s
from diagnostics.hearing.core.following.phase import BLOCK_S
from diagnostics.hearing.core.following.spectrum import ENVELOPE_RATE_HZ, RATE_HZ
from diagnostics.hearing.core.following.track import PATTERNS, Track
from diagnostics.hearing.core.verdict import fitted

LEAST_MISSED, LEAST_GAP_S, JOIN_S = 3, 0.025, 0.030  # contract: three firings or more, 25 ms; gaps under 30 ms join
POINTS, ENVELOPE_POINTS = 32, 12  # a firing's cycle is looked at in so many places
TEMPLATE_FIRINGS = 12  # to both sides: what a firing sounds like hereabouts
AROUND_FIRINGS = 60  # before, and after: how strong a firing is hereabouts
LEAST_DROP = 0.5  # a failing stretch is quieter by so much (natural logarithm): a change of tone alone is none
USUAL, LOUDER_AT_MOST = 90, 0.35  # percentile; natural logarithm: what is louder by more is a bark, no firing
SPACINGS = 4  # between firings to each side of a run, of which all but one must be alike to make a pattern
LONG_GAP_S, SLOWS_LOG_S = 0.12, 0.15  # ln speed a second that friction takes at least; common practice, no source
FALLS_BY_ITSELF = 0.5  # how much quieter (natural logarithm) firing may get in a hold without failing
RHYTHM_FIRINGS = 24  # over so many a rhythm shows
EVEN_FROM, EVEN_OVER_NEXT = 0.6, 0.25  # how alike (a correlation) strengths must come back, and more than the next
# How unlike the next is, against how alike the n-th: two that fire in a row are a cut, no rhythm.
ALONE_FROM, PULSE_ALONE_FROM = 0.15, 0.05
UNEVEN_FROM = 0.2  # strengths that hardly differ have no rhythm
STRONG = 90  # percentile of those taken for a firing that did fire


@dataclass(frozen=True)
class Firings:
    """Each possible firing in the hold: when, and how it stands against its neighbours (1 as strong, 0 not there).

    level: difference of the logarithm of loudness; pulse: likeness in the envelope; wave: likeness in the sound.
    """

    at_s: Float64s
    level: Float64s
    pulse: Float64s
    wave: Float64s
    pattern: Int64s


def firings_in(track: Track, samples: Float32s, held: tuple[float, float], rhythm: bool = True) -> Firings:
    """Cut the hold into firings along the track and measure each; times are where a cycle begins.

    rhythm: whether to look for one, which takes a third of the time; else every pattern is 1.
    """
    edges_s = np.arange(len(track.firing_hz) + 1) * BLOCK_S
    phase = np.concatenate([[0.0], np.cumsum(track.firing_hz) * BLOCK_S])
    first, last = np.interp(held, edges_s, phase)
    cycles = np.arange(
        max(np.ceil(first) - AROUND_FIRINGS, 0), min(np.floor(last) + AROUND_FIRINGS, np.floor(phase[-1]) - 1)
    )
    if len(cycles) < 4:
        nothing = np.zeros(0)
        return Firings(nothing, nothing, nothing, nothing, np.zeros(0, np.int64))
    envelope = track.envelope
    mean_pulse = _cut(envelope, ENVELOPE_RATE_HZ, cycles, ENVELOPE_POINTS, phase, edges_s).mean(axis=0)
    cycles = (
        cycles[:-1] + int(mean_pulse.argmin()) / ENVELOPE_POINTS
    )  # a cycle begins where it is quiet, before the pulse
    wave = _cut(samples, RATE_HZ, cycles, POINTS, phase, edges_s)
    pulse = _cut(envelope, ENVELOPE_RATE_HZ, cycles, ENVELOPE_POINTS, phase, edges_s)
    level = np.log((pulse**2).mean(axis=1) + 1e-9)
    at_s = np.interp(cycles, phase, edges_s)
    within = (at_s >= held[0]) & (at_s <= held[1])
    usual = float(np.percentile(level[within], USUAL)) if within.any() else 0.0
    standing = np.clip(level - _reached(np.minimum(level, usual + LOUDER_AT_MOST)), -4, 2)
    alike = _likeness(pulse, within)
    return Firings(
        at_s=at_s[within],
        level=standing[within],
        pulse=alike[within],
        wave=_likeness(wave, within)[within],
        pattern=pattern_of(standing, alike)[within] if rhythm else np.ones(int(within.sum()), np.int64),
    )


def pattern_of(standing: Float64s, alike: Float64s) -> Int64s:
    """Every how manieth turn fires about each firing, by loudness and pulse together or by the pulse alone: a firing
    that rings on is as loud in the next turn, but looks like one only once.

    standing, alike: how loud each is against its neighbours (natural logarithm), and how much it looks like a firing.
    """
    together = rhythm_of(np.clip(standing, -2, 0.5) + alike, ALONE_FROM)
    return np.where(together > 1, together, rhythm_of(np.clip(alike, 0, 1), PULSE_ALONE_FROM))


def rhythm_of(strengths: Float64s, alone_from: float) -> Int64s:
    """2, 3 or 4 where strengths come back evenly so often before a firing, about it or after it, else 1.

    Where every n-th turn fires a firing resembles the n-th after it more than the next; failing in bursts resembles
    the next most. A change of rhythm is even on either side. alone_from: how unlike the next has to be.

    >>> rhythm_of(np.tile([1.0, 0.0, 0.0], 20), ALONE_FROM)[30]
    np.int64(3)
    >>> rhythm_of(np.tile([1.0] * 9 + [0.0] * 7, 4), ALONE_FROM)[30]
    np.int64(1)
    """
    around = min(RHYTHM_FIRINGS, len(strengths))
    moved = strengths - ndimage.uniform_filter1d(strengths, around, mode="nearest")
    moved = np.pad(moved, (around, around), mode="edge")
    products = np.array([moved * np.roll(moved, -lag) for lag in range(max(PATTERNS) + 1)])
    means = ndimage.uniform_filter1d(products, around, axis=1, mode="nearest")
    pattern, most = np.ones(len(strengths), np.int64), np.zeros(len(strengths))
    for side in (0, -(around // 2), around // 2):
        alike = means[:, around + side : around + side + len(strengths)]
        size = alike[0] + 1e-9
        again, next_one = alike[np.array(PATTERNS[1:])] / size, alike[1] / size
        best = again.max(axis=0)
        even = (next_one < -alone_from * best) & (best > EVEN_FROM) & (best > next_one + EVEN_OVER_NEXT)
        even &= (size > UNEVEN_FROM**2) & (best > most)
        pattern[even] = np.array(PATTERNS[1:])[again.argmax(axis=0)[even]]
        most[even] = best[even]
    return pattern


def _cut(
    source: Float32s, rate_hz: int, cycles: NDArray[Any], points: int, phase: NDArray[Any], edges_s: NDArray[Any]
) -> Float64s:
    """Rows of one cycle each, evenly spaced in phase; a straight line between samples."""
    at_s = np.interp((cycles[:, None] + np.arange(points) / points).ravel(), phase, edges_s)
    at = np.clip(at_s * rate_hz, 0, len(source) - 1.001)
    low = at.astype(np.int64)
    before, after = source[low], source[low + 1]
    return np.asarray((before + (at - low) * (after - before)).reshape(-1, points), dtype=np.float64)


def _before_and_after(values: Float64s) -> tuple[Float64s, Float64s]:
    size = min(AROUND_FIRINGS, len(values))
    before, after = (
        ndimage.percentile_filter(values, STRONG, size=size, mode="nearest", origin=side)
        for side in ((size - 1) // 2, -((size - 1) // 2))
    )
    return before, after


def _strong(values: Float64s) -> Float64s:
    """How strong a firing is hereabouts: the weaker of before and after, as sound swells with the throttle."""
    return np.asarray(np.minimum(*_before_and_after(values)))


def _reached(levels: Float64s) -> Float64s:
    """How loud a firing is: as hereabouts, but not much less than it has been: what stays away for long is missing."""
    before, after = _before_and_after(levels)
    return np.asarray(np.maximum(np.minimum(before, after), np.maximum.accumulate(before) - FALLS_BY_ITSELF))


def _likeness(cycles: Float64s, within: Bools) -> Float64s:
    """How much of what firings hereabouts look like each holds, against a strong one; about -1 to 2."""
    moved = cycles - cycles.mean(axis=1, keepdims=True)
    sizes = np.linalg.norm(moved, axis=1) + 1e-9
    most = float(np.percentile(sizes[within], USUAL)) * np.exp(LOUDER_AT_MOST) if within.any() else np.inf
    moved *= np.minimum(1.0, most / sizes)[:, None]
    template = ndimage.uniform_filter1d(moved, 2 * TEMPLATE_FIRINGS + 1, axis=0, mode="nearest")
    along = (moved * template).sum(axis=1) / (np.linalg.norm(template, axis=1) + 1e-9)
    return np.asarray(np.clip(along / (np.maximum(_strong(along), 0) + 1e-6), -1, 2))


def missing(firings: Firings) -> Bools:
    """The likeliest course of firing and failing: each firing's odds and a price for changing (Viterbi, two states)."""
    weights = fitted.MISSING
    odds = (
        weights["always"]
        + weights["level"] * firings.level
        + weights["pulse"] * firings.pulse
        + weights["wave"] * firings.wave
    )
    odds = np.clip(odds, -4, 4)
    stay, failing, change = 0.0, -weights["change"], weights["change"]
    came: list[tuple[bool, bool]] = []
    for gain in odds.tolist():
        to_fire, to_fail = failing - change, stay - change
        came.append((to_fire > stay, to_fail > failing))
        stay, failing = max(stay, to_fire), max(failing, to_fail) + gain
    state = failing > stay
    out = np.zeros(len(odds), bool)
    for index in range(len(odds) - 1, -1, -1):
        out[index] = state
        state = state != came[index][state]
    return out


def runs_of(missed: Bools) -> list[tuple[int, int]]:
    """First and past-the-last of every run.

    >>> runs_of(np.array([False, True, True, False, True]))
    [(1, 3), (4, 5)]
    """
    edges = np.diff(np.concatenate([[0], missed.astype(np.int8), [0]]))
    return [(int(a), int(b)) for a, b in zip(np.flatnonzero(edges == 1), np.flatnonzero(edges == -1), strict=True)]


def drop_outs_in(firings: Firings, missed: Bools) -> list[tuple[float, float]]:
    """The drop-outs by the contract's rule; what a regular pattern leaves out is none."""
    found: list[tuple[float, float]] = []
    fired = np.flatnonzero(~missed)
    for first, last in runs_of(missed):
        if last == len(missed) or last - first < LEAST_MISSED:
            continue
        nth = max(_pattern_about(fired, first), int(np.median(firings.pattern[first:last])))
        if nth > 1 and last - first < (LEAST_MISSED + 1) * nth - 1:
            continue
        if float(firings.level[first:last].mean()) > -LEAST_DROP:
            continue
        end_s = firings.at_s[last] if last < len(firings.at_s) else 2 * firings.at_s[-1] - firings.at_s[-2]
        start_s = firings.at_s[first]
        if end_s - start_s < LEAST_GAP_S or _goes_on(firings.at_s, first, last):
            continue
        if found and start_s - found[-1][1] < JOIN_S:
            found[-1] = (found[-1][0], float(end_s))
        else:
            found.append((float(start_s), float(end_s)))
    return found


def _goes_on(at_s: Float64s, first: int, last: int) -> bool:
    """Whether the speed goes on through a long run as it does where all fires: firing is drowned then, not missing."""
    if at_s[last] - at_s[first] < LONG_GAP_S:
        return False
    before, after = np.diff(at_s[max(first - SPACINGS, 0) : first + 1]), np.diff(at_s[last : last + SPACINGS + 1])
    if not len(before) or not len(after):
        return False
    return float(np.log(after.mean() / before.mean())) < SLOWS_LOG_S * float(at_s[last] - at_s[first])


def _pattern_about(fired: Int64s, first: int) -> int:
    """Every how manieth turn fires before or after the run that begins at `first`: 2, 3 or 4 where most of four
    spacings say so, else 1. fired: places of the firings that did, ascending.

    >>> _pattern_about(np.array([0, 3, 6, 9, 12, 18, 21, 24, 27, 30]), 13)
    3
    """
    after = int(np.searchsorted(fired, first))
    found = 1
    for side in (fired[max(after - SPACINGS - 1, 0) : after], fired[after : after + SPACINGS + 1]):
        spacings = np.diff(side).tolist()
        found = max([found, *(nth for nth in PATTERNS[1:] if spacings.count(nth) >= SPACINGS - 1)])
    return found
