"""Power brought to standard air: what the same engine would have given there, by the form of a standard.

All of them were fitted to four-strokes. A two-stroke loses another share to friction, and its pipe shifts with the
heat of air and exhaust, so measured and corrected power are always shown side by side (common practice, no source).
The forms are quoted from public pages; the standards themselves must be bought and were not seen. They reckon in kelvin
with 273.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from garage.core.text.languages import in_figures, told, told_later
from jobs.core.runs.air import Air

NONE = "none"


@dataclass(frozen=True)
class Standard:
    """air_words: the air that it corrects to. temperature_c: from and to in which it may be used.

    The factor of every standard here may lie within FACTORS.
    """

    id: str
    says: str
    air_words: str
    factor: Callable[[Air], float]
    temperature_c: tuple[float, float] | None = None


@dataclass(frozen=True)
class Correction:
    """factor: what measured power is multiplied by, also outside the range. why_not: empty where it may be used, else
    why uncorrected power alone is shown.
    """

    standard: Standard
    factor: float
    why_not: str = ""


# Limits of the factor in SAE J1349 and ISO 1585, from memory of the trade's practice: no text was seen. DIN 70020 gives
# none that is known here; the same are used.
FACTORS = (0.93, 1.07)


def _sae(air: Air) -> float:
    """June 1990, for 85 % mechanical efficiency: 1.18 and 0.18 are 1/0.85 and 0.15/0.85, rounded as printed."""
    return 1.180 * (990 / air.dry_hpa) * math.sqrt((air.temperature_c + 273) / 298) - 0.18


def _iso(air: Air) -> float:
    """Spark ignition, not supercharged; the exponents are from memory. The same form as ECE R85 and JIS D1001."""
    factor: float = (990 / air.dry_hpa) ** 1.2 * ((air.temperature_c + 273) / 298) ** 0.6
    return factor


def _din(air: Air) -> float:
    """With the whole pressure, not that of the dry air."""
    return (1013 / air.pressure_hpa) * math.sqrt((air.temperature_c + 273) / 293)


# 283.2 to 318.2 K for the ISO form: (EU) 134/2014, annex X, appendix 2.2.
STANDARDS = {
    standard.id: standard
    for standard in (
        Standard("sae", "SAE J1349", told_later("25 °C and 990 hPa of dry air"), _sae),
        Standard("iso", "ISO 1585", told_later("25 °C and 990 hPa of dry air"), _iso, (10.2, 45.2)),
        Standard("din", "DIN 70020", told_later("20 °C and 1,013 hPa"), _din),
    )
}


def correction(standard_id: str, air: Air) -> Correction:
    """The factor of one of STANDARDS in this air, and whether it may be used.

    >>> round(correction("din", Air(990, 25, 40)).factor, 5)
    1.03193
    """
    standard = STANDARDS[standard_id]
    factor = standard.factor(air)
    return Correction(standard, factor, _why_not(standard, factor, air))


def _why_not(standard: Standard, factor: float, air: Air) -> str:
    least, most = FACTORS
    if not least <= factor <= most:
        return told(
            "its factor would be {factor}, outside {least} to {most}",
            factor=in_figures(f"{factor:.4f}"),
            least=in_figures(f"{least}"),
            most=in_figures(f"{most}"),
        )
    if standard.temperature_c and not standard.temperature_c[0] <= air.temperature_c <= standard.temperature_c[1]:
        coldest, hottest = standard.temperature_c
        return told(
            "the air had {temperature} °C, outside {coldest} to {hottest} °C",
            temperature=in_figures(f"{air.temperature_c:g}"),
            coldest=in_figures(f"{coldest:g}"),
            hottest=in_figures(f"{hottest:g}"),
        )
    return ""
