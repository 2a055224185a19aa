"""The possible firings in the hold, each measured against its neighbours, and the rhythm that they keep."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import ndimage

from diagnostics.core.arrays import Bools, Float32s, Float64s, Int64s
from diagnostics.hearing.core import limits, verdict_limits
from diagnostics.hearing.core.following.teeth import NTHS
from diagnostics.hearing.core.following.track import Track


@dataclass(frozen=True)
class Firings:
    """(firings,) each. at_s: when its cycle begins.

    level: difference of its log loudness from firings hereabouts. pulse, wave: how much it looks like them in the
    envelope and in the sound, 1 for as much, 0 for not at all. pattern: n where every
    n-th turn fires about it in an even rhythm, else 1. power: mean power of its cycle in the upper band.
    """

    at_s: Float64s
    level: Float64s
    pulse: Float64s
    wave: Float64s
    pattern: Int64s
    power: Float64s


@dataclass(frozen=True)
class _Turning:
    """How far the engine has turned, counted in possible firings: phase at edges_s."""

    edges_s: Float64s
    phase: Float64s

    def phase_at(self, at_s: tuple[float, float]) -> tuple[float, float]:
        first, last = np.interp(at_s, self.edges_s, self.phase).tolist()
        return first, last

    def moments_s(self, phases: Float64s) -> Float64s:
        return np.asarray(np.interp(phases, self.phase, self.edges_s))

    def cut(self, source: Float32s, rate_hz: int, cycles: Float64s, points: int) -> Float64s:
        """(cycles, points): one cycle a row, evenly spaced in phase, interpolated between samples."""
        at_s = self.moments_s((cycles[:, None] + np.arange(points) / points).ravel())
        at = np.minimum(at_s * rate_hz, len(source) - 1 - limits.INSIDE)
        low = at.astype(np.int64)
        before, after = source[low], source[low + 1]
        return np.asarray((before + (at - low) * (after - before)).reshape(-1, points), dtype=np.float64)


def firings_in(track: Track, samples: Float32s, held: tuple[float, float]) -> Firings:
    """The hold cut into firings along the track, each measured, with the rhythm about it."""
    edges_s = np.asarray(np.arange(len(track.firing_hz) + 1) * limits.BLOCK_S)
    turned = np.asarray(np.append(0.0, np.cumsum(track.firing_hz) * limits.BLOCK_S))
    turning = _Turning(edges_s, turned)
    cycles = _cycles_about(turning, held)
    if len(cycles) < verdict_limits.LEAST_CYCLES:
        nothing = np.zeros(0)
        return Firings(nothing, nothing, nothing, nothing, np.zeros(0, np.int64), nothing)
    envelope, points = (track.envelope, limits.ENVELOPE_RATE_HZ), verdict_limits.PULSE_POINTS
    # A cycle is to begin where it is quiet, before the pulse.
    quietest = int(turning.cut(*envelope, cycles, points).mean(axis=0).argmin())
    cycles = cycles[:-1] + quietest / points
    wave = turning.cut(samples, limits.RATE_HZ, cycles, verdict_limits.WAVE_POINTS)
    pulse = turning.cut(*envelope, cycles, points)
    at_s = turning.moments_s(cycles)
    within = (at_s >= held[0]) & (at_s <= held[1])
    level, alike = _level(pulse, within), _likeness(pulse, within)
    return Firings(
        at_s=at_s[within],
        level=level[within],
        pulse=alike[within],
        wave=_likeness(wave, within)[within],
        pattern=pattern_of(level, alike)[within],
        power=_power(pulse)[within],
    )


def _cycles_about(turning: _Turning, held: tuple[float, float]) -> Float64s:
    """(cycles,): the phases at which cycles begin, in the hold and about it."""
    (first, last), around = turning.phase_at(held), verdict_limits.AROUND_FIRINGS
    ends = min(np.floor(last) + around, np.floor(turning.phase[-1]) - 1)
    return np.arange(max(np.ceil(first) - around, 0), ends)


def _level(pulse: Float64s, within: Bools) -> Float64s:
    """(cycles,): log loudness against what firings hereabouts reach; a bark counts as no louder than a loud firing."""
    level = np.log((pulse**2).mean(axis=1) + 1e-9)
    usual = float(np.percentile(level[within], verdict_limits.USUAL_PERCENTILE)) if within.any() else 0.0
    reached = _reached(np.minimum(level, usual + verdict_limits.LOUDER_AT_MOST))
    return np.asarray(np.clip(level - reached, *verdict_limits.LEVELS))


def _power(pulse: Float64s) -> Float64s:
    """(cycles,): the envelope is the square root of an amplitude."""
    return np.asarray(np.square(pulse**2).mean(axis=1) + 1e-12, dtype=np.float64)


def pattern_of(level: Float64s, alike: Float64s) -> Int64s:
    """For each firing n where every n-th turn fires about it, 2 to 4; 1 where no even rhythm is kept.

    The rhythm is sought in loudness and likeness together and in likeness alone. A firing that rings on is as loud in
    the next turn, but it looks like a firing only once. level, alike: as in Firings.
    """
    together = rhythm_of(np.clip(level, *verdict_limits.RHYTHM_LEVELS) + alike, verdict_limits.ALONE_FROM)
    by_pulse = rhythm_of(np.clip(alike, *verdict_limits.RHYTHM_LIKENESSES), verdict_limits.PULSE_ALONE_FROM)
    return np.where(together > 1, together, by_pulse)


def rhythm_of(strengths: Float64s, alone_from: float) -> Int64s:
    """For each firing n, 2 to 4, where strengths come back every n firings before, about or after it; else 1.

    Where every n-th turn fires, a firing resembles the n-th after it more than the next. Where firing fails in bursts
    it resembles the next one most. At a change of rhythm one side or the other is even. alone_from: how unlike the next
    firing has to be.

    >>> rhythm_of(np.tile([1.0, 0.0, 0.0], 20), verdict_limits.ALONE_FROM)[30]
    np.int64(3)
    >>> rhythm_of(np.tile([1.0] * 9 + [0.0] * 7, 4), verdict_limits.ALONE_FROM)[30]
    np.int64(1)
    """
    around = min(verdict_limits.RHYTHM_FIRINGS, len(strengths))
    moved = strengths - ndimage.uniform_filter1d(strengths, around, mode="nearest")
    moved = np.pad(moved, (around, around), mode="edge")
    products = np.array([moved * np.roll(moved, -lag) for lag in range(max(limits.PATTERNS) + 1)])
    means = ndimage.uniform_filter1d(products, around, axis=1, mode="nearest")
    pattern, most = np.ones(len(strengths), np.int64), np.zeros(len(strengths))
    for side in (0, -(around // 2), around // 2):
        alike = means[:, around + side : around + side + len(strengths)]
        size = alike[0] + 1e-9
        again, next_one = alike[np.array(NTHS)] / size, alike[1] / size
        best = again.max(axis=0)
        even = (next_one < -alone_from * best) & (best > verdict_limits.EVEN_FROM)
        even &= (size > verdict_limits.UNEVEN_FROM**2) & (best > most)
        pattern[even] = np.array(NTHS)[again.argmax(axis=0)[even]]
        most[even] = best[even]
    return pattern


def _before_and_after(values: Float64s) -> tuple[Float64s, Float64s]:
    size = min(verdict_limits.AROUND_FIRINGS, len(values))
    before, after = (
        ndimage.percentile_filter(values, verdict_limits.STRONG_PERCENTILE, size=size, mode="nearest", origin=side)
        for side in ((size - 1) // 2, -((size - 1) // 2))
    )
    return before, after


def _strong(values: Float64s) -> Float64s:
    """How strong a firing is hereabouts: the weaker of before and after, since sound swells with the throttle."""
    return np.asarray(np.minimum(*_before_and_after(values)))


def _reached(levels: Float64s) -> Float64s:
    """How loud a firing is hereabouts, but not much less than it has been: what stays away for long is missing."""
    before, after = _before_and_after(levels)
    return np.asarray(
        np.maximum(np.minimum(before, after), np.maximum.accumulate(before) - verdict_limits.FALLS_BY_ITSELF)
    )


def _likeness(cycles: Float64s, within: Bools) -> Float64s:
    """How much each cycle looks like those hereabouts, relative to a strong one."""
    moved = cycles - cycles.mean(axis=1, keepdims=True)
    sizes = np.linalg.norm(moved, axis=1) + 1e-9
    usual = float(np.percentile(sizes[within], verdict_limits.USUAL_PERCENTILE)) if within.any() else np.inf
    most = usual * np.exp(verdict_limits.LOUDER_AT_MOST)
    moved *= np.minimum(1.0, most / sizes)[:, None]
    template = ndimage.uniform_filter1d(moved, 2 * verdict_limits.TEMPLATE_FIRINGS + 1, axis=0, mode="nearest")
    along = (moved * template).sum(axis=1) / (np.linalg.norm(template, axis=1) + 1e-9)
    return np.asarray(np.clip(along / (np.maximum(_strong(along), 0) + 1e-6), *verdict_limits.LIKENESSES))
