"""What was heard in a clip: one value from the core to row, page and command."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from diagnostics.core.findings import BREAKS_DOWN, REVS_OUT, UNCLEAR

VERSION = 1  # of what to_json gives


class HeardReason(StrEnum):
    """What a verdict rests on, or why none can be given."""

    HOLDS = "holds"
    HOLDS_RICH = "holds-rich"
    FAILS = "fails"
    THROWN_BACK = "thrown-back"
    SHORT_CLIP = "short-clip"
    NO_ENGINE = "no-engine"
    NO_RISE = "no-rise"
    BEGINS_LATE = "begins-late"
    NO_TICKOVER = "no-tickover"
    NO_CLIMB = "no-climb"
    SHORT_HOLD = "short-hold"
    LONG_HOLD = "long-hold"
    JUMPS = "jumps"
    NO_SWELL = "no-swell"
    FAINT = "faint"
    DOUBT = "doubt"


@dataclass(frozen=True)
class Heard:
    """Speeds in rpm, times in s from the clip's beginning; None where there is none.

    rpm: the speed at t0_s + i * step_s, None where no firing can be followed. held: the open-throttle hold. verdict:
    one of VERDICTS (diagnostics/core/findings.py). confidence: 0 to 1, the share of right ones among verdicts so sure;
    for `unclear` the chance that none could be given. outline: how loud it is along its length, as shares of the
    loudest.
    """

    seconds: float
    fires_per_turn: float
    t0_s: float
    step_s: float
    rpm: tuple[float | None, ...]
    idle_rpm: float | None
    peak_rpm: float | None
    held: tuple[float, float] | None
    verdict: str
    ceiling_rpm: float | None
    drop_outs: tuple[tuple[float, float], ...]
    confidence: float
    reason: HeardReason
    outline: tuple[float, ...]


_BEFORE_VERSION_1 = {REVS_OUT: HeardReason.HOLDS, BREAKS_DOWN: HeardReason.FAILS, UNCLEAR: HeardReason.DOUBT}


def to_json(heard: Heard) -> dict[str, Any]:
    """For a row: numbers, words, lists and objects only."""
    return {
        "version": VERSION,
        "seconds": heard.seconds,
        "fires_per_turn": heard.fires_per_turn,
        "trace": {"t0_s": heard.t0_s, "step_s": heard.step_s, "rpm": list(heard.rpm)},
        "idle_rpm": heard.idle_rpm,
        "peak_rpm": heard.peak_rpm,
        "held": list(heard.held) if heard.held else None,
        "verdict": heard.verdict,
        "ceiling_rpm": heard.ceiling_rpm,
        "drop_outs": [list(gap) for gap in heard.drop_outs],
        "confidence": heard.confidence,
        "reason": heard.reason.value,
        "outline": list(heard.outline),
    }


def from_json(kept: Mapping[str, Any]) -> Heard:
    """What to_json gave. Raises ValueError for another version than this one.

    A row without a version is one that a worker of the release before wrote while this one was brought in. Its reason
    is a sentence, so it is read from the verdict.
    """
    if kept.get("version", VERSION) != VERSION:
        raise ValueError(f"what was heard is kept in version {kept['version']}; this release reads {VERSION}")
    reason = HeardReason(kept["reason"]) if "version" in kept else _BEFORE_VERSION_1[kept["verdict"]]
    trace, held = kept["trace"], kept["held"]
    return Heard(
        seconds=kept["seconds"],
        fires_per_turn=kept["fires_per_turn"],
        t0_s=trace["t0_s"],
        step_s=trace["step_s"],
        rpm=tuple(trace["rpm"]),
        idle_rpm=kept["idle_rpm"],
        peak_rpm=kept["peak_rpm"],
        held=(held[0], held[1]) if held else None,
        verdict=kept["verdict"],
        ceiling_rpm=kept["ceiling_rpm"],
        drop_outs=tuple((start, end) for start, end in kept["drop_outs"]),
        confidence=kept["confidence"],
        reason=reason,
        outline=tuple(kept["outline"]),
    )
