"""Road speed and revs of a machine in one gear, from its gearing and tyre."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise
from typing import Any

from garage.core.errors import BadInput, Unquoted

ROLLED = 3.05  # of the tyre's diameter in one turn, under load: a rule of thumb of tyre makers, from memory
MM_PER_INCH = 25.4
MOST_REDUCTION = 100.0  # crank turns for one of the wheel; a moped's first gear has about 40
ROLL_OUT_MM = (500.0, 4000.0)
# Of each stage, common practice, no source: a primary of one chain may be 1 to 1, and a long first gear is about 4.
STAGE_BETWEEN: dict[str, tuple[str, Decimal, Decimal]] = {  # field: as the pages call it, least and most
    "primary_ratio": ("Primary reduction", Decimal("0.5"), Decimal(10)),
    "final_ratio": ("Final drive", Decimal("0.3"), Decimal(10)),
}
NOT_SAID: dict[str, Any] = {"primary_ratio": None, "gear_ratios": "", "final_ratio": None, "tyre": ""}
GEAR = (0.3, 10.0)
MOST_GEARS = 8
GEARS_ALLOWED = (
    f"one to {MOST_GEARS} figures from first to top, each smaller than the one before, {GEAR[0]:g} to {GEAR[1]:g}, "
    "such as 2.92 1.83 1.36 1.04"
)
NAMES = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth")
_SIZE = re.compile(r"(\d{2,3})\s*/\s*(\d{2,3})\s*-\s*[A-Z]*\s*(\d{1,2})", re.IGNORECASE)
_LENGTH = re.compile(r"(\d{3,4}(?:[.,]\d)?)(?:\s*mm)?")


def roll_out_mm(tyre: str) -> float:
    """How far the wheel rolls in one turn, in mm. tyre: its size, or the way itself as measured on the floor.

    Raises BadInput for anything else. Source: ETRTO's overall diameter, rim + 2 · width · aspect.

    >>> round(roll_out_mm("90/90-18"), 1), roll_out_mm("1854 mm")
    (1888.6, 1854.0)
    """
    length, size = _LENGTH.fullmatch(tyre.strip()), _SIZE.fullmatch(tyre.strip())
    if length:
        way = float(length[1].replace(",", "."))
    elif size:
        width, aspect, rim = map(int, size.groups())
        way = ROLLED * (rim * MM_PER_INCH + 2 * width * aspect / 100)
    else:
        raise BadInput("Tyre", tyre, "a size such as 90/90-18, or how far the wheel rolls in a turn, such as 1854 mm")
    least, most = ROLL_OUT_MM
    if not least <= way <= most:
        raise BadInput("Tyre", tyre, f"one that rolls {least:g} to {most:g} mm in a turn")
    return way


def rpm_per_km_h(reduction: float, way_mm: float) -> float:
    """Engine turns a minute for each km/h. reduction: crank turns for one of the wheel, primary, gear and chain in one.

    Raises BadInput for a reduction out of range. Source: V = 0.06 · D · n · R, French order of 27 March 1979, art. 2.

    >>> round(133.2 * rpm_per_km_h(7.5, 1850), 6)
    9000.0
    """
    if not 0 < reduction <= MOST_REDUCTION:
        allowed = f"above 0, at most {MOST_REDUCTION:g} crank turns for one of the wheel"
        raise BadInput("Reduction", Unquoted(f"{reduction:g}"), allowed)
    return _rpm_per_km_h(reduction, way_mm)


def _rpm_per_km_h(reduction: float, way_mm: float) -> float:
    return reduction / (0.06 * way_mm / 1000)


@dataclass(frozen=True)
class Gearing:
    """primary, final: turns in for one turn out. gears: likewise, first to top. way_mm: rolled in a turn."""

    primary: float
    gears: tuple[float, ...]
    final: float
    way_mm: float

    @property
    def top_reduction(self) -> float:
        """Crank turns for one of the wheel.

        >>> round(Gearing(2.5, (3.0, 1.2), 2.5, 1850).top_reduction, 6)
        7.5
        """
        return self._reduction(self.gears[-1])

    @property
    def top(self) -> float:
        """Rpm for each km/h in top gear."""
        return _rpm_per_km_h(self.top_reduction, self.way_mm)

    @property
    def top_says(self) -> str:
        return "top gear" if len(self.gears) > 1 else "its one gear"

    @property
    def lower(self) -> dict[str, float]:
        """Rpm for each km/h of the gears below top, by name.

        >>> {name: round(133.2 * rpm) for name, rpm in Gearing(2.5, (2.4, 1.2), 2.5, 1850).lower.items()}
        {'first gear': 18000}
        """
        names = (f"{name} gear" for name in NAMES)
        gears = zip(names, self.gears[:-1], strict=False)
        return {name: _rpm_per_km_h(self._reduction(gear), self.way_mm) for name, gear in gears}

    def _reduction(self, gear: float) -> float:
        return self.primary * gear * self.final


def gears_of(typed: str) -> tuple[float, ...]:
    """The ratios of a gearbox from first to top; none of an empty text. Raises BadInput.

    >>> gears_of("2.92, 1.83, 1.04"), gears_of("2,92 1,83"), gears_of("")
    ((2.92, 1.83, 1.04), (2.92, 1.83), ())
    """
    words = re.sub(r",\s+", " ", typed).replace(",", ".").split()
    try:
        gears = tuple(map(float, words))
    except ValueError:
        gears = (0.0,)
    least, most = GEAR
    falls = all(higher < lower for lower, higher in pairwise(gears))
    if len(gears) > MOST_GEARS or not falls or not all(least <= gear <= most for gear in gears):
        raise BadInput("Gear ratios", typed, GEARS_ALLOWED)
    return gears


def gearing_of(values: Mapping[str, Any]) -> Gearing | None:
    """values: primary_ratio, gear_ratios, final_ratio and tyre as kept, empty where not known. None unless all are.

    Raises BadInput, naming the field: each of them by its own limits, and together by the most that a crank turns.
    """
    for name, (where, least, most) in STAGE_BETWEEN.items():
        found = values[name]
        if found is not None and not least <= found <= most:
            raise BadInput(where, found, f"{least} to {most}, or nothing")
    gears, way_mm = gears_of(values["gear_ratios"]), roll_out_mm(values["tyre"]) if values["tyre"].strip() else 0.0
    primary, final = values["primary_ratio"], values["final_ratio"]
    if primary is None or final is None or not gears or not way_mm:
        return None
    gearing = Gearing(float(primary), gears, float(final), way_mm)
    rpm_per_km_h(float(primary) * gears[0] * float(final), way_mm)
    return gearing
