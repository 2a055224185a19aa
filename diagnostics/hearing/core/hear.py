"""From samples to all that `listen` tells of a clip."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from diagnostics.core.arrays import Float32s
from diagnostics.core.findings import BREAKS_DOWN, UNCLEAR
from diagnostics.hearing.core.following.parts import Parts, parts_of
from diagnostics.hearing.core.following.phase import BLOCK_S
from diagnostics.hearing.core.following.spectrum import RATE_HZ
from diagnostics.hearing.core.following.track import Track, follow
from diagnostics.hearing.core.heard import Heard, Reason
from diagnostics.hearing.core.outline import outline
from diagnostics.hearing.core.verdict import fitted
from diagnostics.hearing.core.verdict.drop_outs import drop_outs_in, firings_in, missing
from diagnostics.hearing.core.verdict.features import measured
from diagnostics.hearing.core.verdict.longer import longer
from diagnostics.hearing.core.verdict.verdict import Verdict, judge, why_unclear

TRACE_BLOCKS = 2  # a point of the trace every so many blocks: 0.02 s; the contract allows 0.05
SHORTEST_S = 0.5
LEAST_LOOKED_AT_S = 0.4  # of hold; in less there is nothing to measure
CEILING_PERCENTILE = 85  # contract
SILENT = 1e-5  # full scale; below is nothing but the decoder's rounding


def hear(samples: Float32s, fires_per_turn: float) -> Heard:
    """Hear a rev-out in one channel of sound at RATE_HZ.

    fires_per_turn: firings per crank turn, 1 for a two-stroke single. Never fails: what cannot be heard is `unclear`.

    >>> hear(np.zeros(16000, np.float32), 1.0).verdict
    'unclear'
    """
    heard = _unheard(samples, fires_per_turn)
    loudest = float(np.abs(samples).max()) if len(samples) else 0.0
    if heard.seconds < SHORTEST_S or loudest < SILENT:
        return heard
    samples = np.asarray(samples / np.float32(loudest), dtype=np.float32)
    track = follow(samples, fires_per_turn)
    judged = _judged(track, samples)
    parts, lost, verdict = judged.parts, judged.lost, judged.verdict
    return replace(
        heard,
        t0_s=BLOCK_S / 2,
        rpm=_trace(track, parts.followed, lost),
        idle_rpm=_rounded(parts.idle_rpm),
        peak_rpm=_rounded(parts.peak_rpm),
        held=(round(parts.held[0], 3), round(parts.held[1], 3)) if parts.held else None,
        verdict=verdict.verdict,
        ceiling_rpm=_ceiling(track, parts.held, lost) if verdict.verdict == BREAKS_DOWN else None,
        drop_outs=tuple((round(a, 3), round(b, 3)) for a, b in lost),
        confidence=verdict.confidence,
        reason=verdict.reason,
    )


def _unheard(samples: Float32s, fires_per_turn: float) -> Heard:
    """What is said of a clip that is too short or silent: there is no engine in it."""
    seconds = round(len(samples) / RATE_HZ, 3)
    return Heard(
        seconds=seconds,
        fires_per_turn=fires_per_turn,
        t0_s=0.0,
        step_s=BLOCK_S * TRACE_BLOCKS,
        rpm=(),
        idle_rpm=None,
        peak_rpm=None,
        held=None,
        verdict=UNCLEAR,
        ceiling_rpm=None,
        drop_outs=(),
        confidence=fitted.RULED_OUT,
        reason=Reason.SHORT_CLIP if seconds < SHORTEST_S else Reason.NO_ENGINE,
        outline=outline(samples),
    )


@dataclass(frozen=True)
class _Judged:
    """What is said of a hold, and by what."""

    parts: Parts
    lost: list[tuple[float, float]]
    verdict: Verdict


def _judged(track: Track, samples: Float32s) -> _Judged:
    """What the clip shows. Where the hold may last longer than the speed tells, the verdict has to be the same either
    way; only where it is too short to tell, the longer one may show a breakdown."""
    parts = parts_of(track, samples)
    short = _judged_with(track, samples, parts)
    further = longer(track, samples, parts)
    if further is parts:
        return short
    long = _judged_with(track, samples, further)
    told = short.verdict.reason == Reason.SHORT_HOLD and long.verdict.verdict == BREAKS_DOWN
    if told or short.verdict.verdict == long.verdict.verdict:
        return long
    if short.verdict.verdict == UNCLEAR:
        return short
    return replace(short, verdict=Verdict(UNCLEAR, fitted.RULED_OUT, Reason.DOUBT))


def _judged_with(track: Track, samples: Float32s, parts: Parts) -> _Judged:
    values: dict[str, float] | None = None
    lost: list[tuple[float, float]] = []
    why = why_unclear(track, parts)
    if parts.held is not None and parts.held[1] - parts.held[0] > LEAST_LOOKED_AT_S:
        firings = firings_in(track, samples, parts.held)
        values, lost = measured(track, parts, firings, drop_outs_in(firings, missing(firings)))
    if why or values is None:
        return _Judged(parts, lost, Verdict(UNCLEAR, fitted.RULED_OUT, why or Reason.SHORT_HOLD))
    return _Judged(parts, lost, judge(values, lost))


def _rounded(rpm: float | None) -> float | None:
    return None if rpm is None else round(rpm, 1)


def _trace(track: Track, followed: np.ndarray, lost: list[tuple[float, float]]) -> tuple[float | None, ...]:
    shown = followed.copy()
    at_s = (np.arange(len(shown)) + 0.5) * BLOCK_S
    for start, end in lost:
        shown &= (at_s < start) | (at_s > end)
    pairs = zip(track.rpm[::TRACE_BLOCKS], shown[::TRACE_BLOCKS], strict=True)
    return tuple(round(float(rpm), 1) if there else None for rpm, there in pairs)


def _ceiling(track: Track, held: tuple[float, float] | None, lost: list[tuple[float, float]]) -> float | None:
    """The speed that the hold cannot pass: its 85th percentile from where firing first fails on."""
    if held is None:
        return None
    begins_s = lost[0][0] if lost else held[0] + 0.3 * (held[1] - held[0])
    within = track.rpm[int(begins_s / BLOCK_S) : max(int(held[1] / BLOCK_S), int(begins_s / BLOCK_S) + 1)]
    return round(float(np.percentile(within, CEILING_PERCENTILE)), 1)
