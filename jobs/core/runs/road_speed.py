"""A road speed that an owner told, in words: how many revs that is, and whether the stand heard the same."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from jobs.core.runs.units import KM_H_PER_MPH

KM_H, MPH = "km/h", "mph"
_WITH_UNIT = re.compile(r"\b(\d{2,3})\s*(mph|m\.p\.h\.|miles an hour|km/?h|kph)", re.IGNORECASE)
_BARE = re.compile(
    r"\b(?:at|above|over|past|beyond|around|about|near)\s+(\d{2,3})\b"
    r"(?!\s*(?:%|°|deg|rpm|revs|r/min|cc|mm|bar|psi|:|,\d|\.\d|k\b|am\b|pm\b|p\b))"
    r"(?!\s*(?:o.clock|per cent|miles\b|km\b|min|jet))",
    re.IGNORECASE,
)
LEAST_KM_H, MOST_KM_H = 15.0, 250.0  # what an owner says of a road
SAME_SHARE = 0.08  # of the revs: a speedometer is that far out, and so is a worn tyre


@dataclass(frozen=True)
class ToldSpeed:
    """says: as in "50 mph"."""

    says: str
    km_h: float


def told_speeds(words: str) -> list[ToldSpeed]:
    """The first road speed in an owner's words; without a unit in both, as nobody knows which was meant.

    >>> [told.says for told in told_speeds("Dies at 50, clean below")]
    ['50 mph', '50 km/h']
    >>> [told.says for told in told_speeds("Flat past 80 kph")], told_speeds("Timing at 22 degrees, 98 jet")
    (['80 km/h'], [])
    """
    if found := _WITH_UNIT.search(words):
        unit = MPH if found[2].lower().startswith("m") else KM_H
        told = [_told(int(found[1]), unit)]
    elif found := _BARE.search(words):
        told = [_told(int(found[1]), unit) for unit in (MPH, KM_H)]
    else:
        return []
    return [one for one in told if LEAST_KM_H <= one.km_h <= MOST_KM_H]


def _told(speed: int, unit: str) -> ToldSpeed:
    return ToldSpeed(f"{speed} {unit}", speed * (KM_H_PER_MPH if unit == MPH else 1.0))


def road_speed_sentence(
    told: list[ToldSpeed],
    rpm_per_km_h: float,
    *,
    gear: str,
    ceiling_rpm: float | None,
    peak_rpm: float | None,
    lower: Mapping[str, float] = MappingProxyType({}),
) -> str:
    """told: one or more. gear: in words. ceiling_rpm: what it could not pass on the stand by a clip. peak_rpm: what it
    got to there. lower: rpm for each km/h of the gears below, by name, where they are known.

    >>> fifty = [ToldSpeed("50 mph", 80.4672)]
    >>> road_speed_sentence(fifty, 65, gear="the gear of run A", ceiling_rpm=5300, peak_rpm=5310)
    'In the gear of run A 50 mph are 5,230 rpm. On the stand it could not pass 5,300 rpm: the same revs with load and \
without, so it is the revs that stop it, not the load.'
    """
    revs = [one.km_h * rpm_per_km_h for one in told]
    ways = " and ".join(f"{one.says} are {rpm:,.0f} rpm" for one, rpm in zip(told, revs, strict=True))
    said = f"In {gear} {ways}. {_on_the_stand(revs, ceiling_rpm, peak_rpm)}"
    return said + (_in_another(told, lower, ceiling_rpm) if ceiling_rpm and not _same(revs, ceiling_rpm) else "")


def _in_another(told: list[ToldSpeed], lower: Mapping[str, float], ceiling_rpm: float) -> str:
    """Nobody says in which gear it was."""
    same = [name for name, each in lower.items() if _same([one.km_h * each for one in told], ceiling_rpm)]
    return f" In {' or '.join(same)} it would be the same revs as there: ask in which gear it was." if same else ""


def _same(revs: list[float], ceiling_rpm: float) -> bool:
    return any(abs(rpm - ceiling_rpm) <= SAME_SHARE * ceiling_rpm for rpm in revs)


def _on_the_stand(revs: list[float], ceiling_rpm: float | None, peak_rpm: float | None) -> str:
    if ceiling_rpm is None:
        if peak_rpm is None:
            return "No clip says yet how far it revs on the stand."
        return f"On the stand it revved out to {peak_rpm:,.0f} rpm{_or_sooner(revs, peak_rpm)}."
    nobody_passes = f"On the stand it could not pass {ceiling_rpm:,.0f} rpm"
    if _same(revs, ceiling_rpm):
        return f"{nobody_passes}: the same revs with load and without, so it is the revs that stop it, not the load."
    if all(rpm > ceiling_rpm for rpm in revs):
        return f"{nobody_passes}, and that is less: ask in which gear it was."
    return f"{nobody_passes}{_or_sooner(revs, ceiling_rpm)}."


def _or_sooner(revs: list[float], stand_rpm: float) -> str:
    return ": under load it gives up sooner" if all(rpm < stand_rpm for rpm in revs) else ""
