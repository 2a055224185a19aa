"""From samples to everything that `listen` says of a clip.

To be read first: the speed is followed (following/track.py), the parts of the rev-out are found in it
(following/parts.py), and what the hold shows leads to a verdict (verdict/verdict.py). limits.py and
verdict_limits.py have every number.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from diagnostics.core.arrays import Float32s
from diagnostics.core.findings import BREAKS_DOWN
from diagnostics.hearing.core import limits, verdict_limits
from diagnostics.hearing.core.blocks import block_at, middles_s
from diagnostics.hearing.core.following.parts import Parts, loudness, parts_of
from diagnostics.hearing.core.following.track import Track, follow
from diagnostics.hearing.core.heard import Heard, HeardReason
from diagnostics.hearing.core.outline import outline
from diagnostics.hearing.core.verdict.drop_outs import missing
from diagnostics.hearing.core.verdict.features import HeardHold, measured
from diagnostics.hearing.core.verdict.firings import firings_in
from diagnostics.hearing.core.verdict.verdict import Verdict, judge, unclear, why_unclear


def hear(samples: Float32s, fires_per_turn: float) -> Heard:
    """What is heard in a clip. Never fails: what cannot be heard is `unclear`.

    samples: (n,) float32, one channel at RATE_HZ. fires_per_turn: firings a crank turn, 1 for a two-stroke single.

    >>> hear(np.zeros(16000, np.float32), 1.0).verdict
    'unclear'
    """
    heard = _unheard(samples, fires_per_turn)
    loudest = float(np.abs(samples).max()) if len(samples) else 0.0
    if heard.seconds < limits.SHORTEST_CLIP_S or loudest < limits.SILENT:
        return heard
    samples = np.asarray(samples / np.float32(loudest), dtype=np.float32)
    track = follow(samples, fires_per_turn)
    told = judged(track, samples)
    parts, lost, verdict = told.parts, told.lost, told.verdict
    return replace(
        heard,
        t0_s=limits.BLOCK_S / 2,
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
    """What is said of a clip that is too short or silent."""
    seconds = round(len(samples) / limits.RATE_HZ, 3)
    verdict = unclear(HeardReason.SHORT_CLIP if seconds < limits.SHORTEST_CLIP_S else HeardReason.NO_ENGINE)
    return Heard(
        seconds=seconds,
        fires_per_turn=fires_per_turn,
        t0_s=0.0,
        step_s=limits.BLOCK_S * verdict_limits.TRACE_BLOCKS,
        rpm=(),
        idle_rpm=None,
        peak_rpm=None,
        held=None,
        verdict=verdict.verdict,
        ceiling_rpm=None,
        drop_outs=(),
        confidence=verdict.confidence,
        reason=verdict.reason,
        outline=outline(samples),
    )


@dataclass(frozen=True)
class JudgedHold:
    """A hold and what is said of it."""

    parts: Parts
    lost: list[tuple[float, float]]
    verdict: Verdict


def judged(track: Track, samples: Float32s) -> JudgedHold:
    """What the clip shows. samples: at full scale, as in Track."""
    parts = parts_of(track, samples)
    why = why_unclear(track, parts)
    if parts.held is None or parts.held[1] - parts.held[0] <= verdict_limits.LEAST_LOOKED_AT_S:
        return JudgedHold(parts, [], unclear(why or HeardReason.SHORT_HOLD))
    firings = firings_in(track, samples, parts.held)
    found, lost = measured(HeardHold(track, parts, firings, missing(firings), loudness(samples)))
    return JudgedHold(parts, lost, unclear(why) if why else judge(found, lost))


def _rounded(rpm: float | None) -> float | None:
    return None if rpm is None else round(rpm, 1)


def _trace(track: Track, followed: np.ndarray, lost: list[tuple[float, float]]) -> tuple[float | None, ...]:
    shown = followed.copy()
    at_s = middles_s(len(shown))
    for start, end in lost:
        shown &= (at_s < start) | (at_s > end)
    pairs = zip(track.rpm[:: verdict_limits.TRACE_BLOCKS], shown[:: verdict_limits.TRACE_BLOCKS], strict=True)
    return tuple(round(float(rpm), 1) if there else None for rpm, there in pairs)


def _ceiling(track: Track, held: tuple[float, float] | None, lost: list[tuple[float, float]]) -> float | None:
    """The speed that the hold cannot pass: a high percentile of it from where firing first fails."""
    if held is None:
        return None
    begins_s = lost[0][0] if lost else held[0] + verdict_limits.CEILING_FROM * (held[1] - held[0])
    first = block_at(begins_s)
    within = track.rpm[first : max(block_at(held[1]), first + 1)]
    return round(float(np.percentile(within, verdict_limits.CEILING_PERCENTILE)), 1)
