"""What strobe readings say: the verdict on tickover, peak revs and what is between.

Fixed timing moves by about a degree at most. Easing back with revs is harmless, advancing is not. The limits are common
practice, no source. They are exact in decimal: 17.9 against 16.9 is a drift of 1, not more.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

from diagnostics.core.timing.strobe_words import LOOK_AT, MEANS, MEANS_SET_EARLY, MEANS_SET_LATE
from garage.core.errors import BadInput
from garage.core.exact import Number, exact

WITHIN_DEG = 1  # degrees a reading or the drift may be off; common practice, no source
EASES_AT_MOST_DEG = Fraction(5, 2)  # degrees of retard with revs that are still harmless; common practice, no source
SCATTER_AT_MOST_DEG = Fraction(3, 2)  # degrees off the trend that reading error explains; common practice, no source
PASSING_VERDICTS = frozenset({"in-spec", "eases-back"})  # what the gate lets on the rollers; common practice, no source
CURVES = ("fixed", "retarding", "advancing")
DEGREES = "degrees before top dead centre, -180 to 180"
READINGS = "a list of two or more readings [rpm, degrees], at two speeds at least"


@dataclass(frozen=True)
class StrobeReading:
    """One reading: rpm, degrees BTDC as read, the spec at that speed, and off_deg, which is read minus spec."""

    rpm: float
    deg: float
    spec_deg: float
    off_deg: float


@dataclass(frozen=True)
class StrobeJudgement:
    """A verdict with the figures behind it; angles in crank degrees BTDC.

    at_idle, at_peak: readings at the lowest and highest revs, as given. drift_deg: at_peak - at_idle, including the
    design's own change. erratic_deg: largest distance of a reading from the straight line through all of them.
    readings: in order of revs. trend: that line at the lowest and the highest revs.
    """

    verdict: str
    at_idle: float
    at_peak: float
    drift_deg: float
    erratic_deg: float
    means: tuple[str, ...]
    look_at: tuple[str, ...]
    readings: tuple[StrobeReading, ...]
    trend: tuple[float, float]


class _Reading(NamedTuple):
    rpm: Fraction
    deg: Fraction


def judge_strobe(
    spec_btdc: Number,
    readings: Sequence[Sequence[Number]],
    curve: str = "fixed",
    change_deg: Number = 0,
) -> StrobeJudgement:
    """Judges strobe readings against the machine's spec.

    spec_btdc: degrees BTDC at tickover. readings: pairs (rpm > 0, degrees BTDC), two or more, in any order.
    curve: fixed, retarding or advancing; change_deg: the design's own change from tickover to peak, 0 or more,
    spread evenly over the revs read. The manual of `timing` lists the verdicts and their limits.
    Raises BadInput naming spec_btdc, readings, curve or change_deg.
    Source: common practice; the trend is the least-squares line.

    >>> judge_strobe(17, [(1400, 17), (9000, 16)]).verdict
    'in-spec'
    >>> judge_strobe(17, [(1400, 14), (9000, 19.5)]).verdict
    'advances'
    """
    spec = exact("spec_btdc", spec_btdc, DEGREES, least=-180, most=180)
    change = _own_change_deg(curve, change_deg)
    ordered = _in_order_of_revs(readings)
    first, last = ordered[0], ordered[-1]
    off_spec = [reading.deg - spec - change * (reading.rpm - first.rpm) / (last.rpm - first.rpm) for reading in ordered]
    mean, slope = _trend(ordered)
    on_trend = [mean.deg + slope * (reading.rpm - mean.rpm) for reading in ordered]
    erratic_deg = max(abs(reading.deg - there) for reading, there in zip(ordered, on_trend, strict=True))
    verdict = _verdict(off_spec, erratic_deg)
    return StrobeJudgement(
        verdict=verdict,
        at_idle=float(first.deg),
        at_peak=float(last.deg),
        drift_deg=float(last.deg - first.deg),
        erratic_deg=float(erratic_deg),
        means=MEANS[verdict] + _which_way(verdict, off_spec),
        look_at=LOOK_AT[verdict],
        readings=tuple(
            StrobeReading(float(reading.rpm), float(reading.deg), float(reading.deg - off), float(off))
            for reading, off in zip(ordered, off_spec, strict=True)
        ),
        trend=(float(on_trend[0]), float(on_trend[-1])),
    )


def _own_change_deg(curve: str, change_deg: Number) -> Fraction:
    if curve not in CURVES:
        raise BadInput("curve", curve, "fixed, retarding or advancing")
    change = exact("change_deg", change_deg, "degrees, 0 to 180", least=0, most=180)
    return {"fixed": Fraction(0), "retarding": -change, "advancing": change}[curve]


def _in_order_of_revs(readings: Sequence[Sequence[Number]]) -> list[_Reading]:
    if not isinstance(readings, list | tuple) or len(readings) < 2:
        raise BadInput("readings", readings, READINGS)
    ordered = sorted((_reading(f"readings[{i}]", pair) for i, pair in enumerate(readings)), key=lambda r: r.rpm)
    if ordered[0].rpm == ordered[-1].rpm:
        raise BadInput("readings", f"all at {float(ordered[0].rpm):g} rpm", READINGS)
    return ordered


def _reading(where: str, pair: object) -> _Reading:
    if not isinstance(pair, list | tuple) or len(pair) != 2:
        raise BadInput(where, pair, "a pair [rpm, degrees]")
    rpm = exact(f"{where} rpm", pair[0], "a speed above 0, at most 100000", above=0, most=100_000)
    return _Reading(rpm, exact(f"{where} degrees", pair[1], DEGREES, least=-180, most=180))


def _trend(readings: list[_Reading]) -> tuple[_Reading, Fraction]:
    """The least-squares line, exact: its middle, and its slope in degrees per rpm."""
    mean_rpm = sum((r.rpm for r in readings), Fraction(0)) / len(readings)
    mean_deg = sum((r.deg for r in readings), Fraction(0)) / len(readings)
    spread = sum(((r.rpm - mean_rpm) ** 2 for r in readings), Fraction(0))
    slope = sum(((r.rpm - mean_rpm) * (r.deg - mean_deg) for r in readings), Fraction(0)) / spread
    return _Reading(mean_rpm, mean_deg), slope


def _verdict(off_spec: list[Fraction], erratic_deg: Fraction) -> str:
    """The first verdict in the manual of `timing` that applies; off_spec: degrees off the spec, in order of revs."""
    drift = off_spec[-1] - off_spec[0]
    if drift > WITHIN_DEG:
        return "advances"
    if erratic_deg > SCATTER_AT_MOST_DEG:
        return "erratic"
    if drift < -EASES_AT_MOST_DEG:
        return "retards-far"
    if drift < -WITHIN_DEG and abs(off_spec[0]) <= WITHIN_DEG:
        return "eases-back"
    return "in-spec" if all(abs(off) <= WITHIN_DEG for off in off_spec) else "set-wrong"


def _which_way(verdict: str, off_spec: list[Fraction]) -> tuple[str, ...]:
    if verdict != "set-wrong":
        return ()
    return MEANS_SET_EARLY if max(off_spec, key=abs) > 0 else MEANS_SET_LATE
