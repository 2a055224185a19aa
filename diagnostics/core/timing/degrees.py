"""Degrees before top dead centre as millimetres of piston travel and of flywheel rim, for one engine."""

from __future__ import annotations

import math
from dataclasses import dataclass

from diagnostics.core.timing.piston import btdc_deg, btdc_mm, rim_mm
from garage.core.errors import BadInput
from garage.core.exact import Number

AROUND_DEG = 4  # whole degrees shown on either side of the spec
UNKNOWN_DEG = (
    10,
    30,
)  # degrees shown if the spec is unknown: the usual range; common practice, no source
MOST_ROWS = 18
MOST_DEG = 180


@dataclass(frozen=True)
class Engine:
    """What is known of an engine, None if unknown. Lengths in mm, flywheel_mm is a diameter; spec_deg at tickover,
    change_deg from there to peak revs, positive for a design that advances."""

    stroke_mm: Number | None = None
    rod_mm: Number | None = None
    flywheel_mm: Number | None = None
    spec_deg: float | None = None
    change_deg: float = 0

    @property
    def has_piston(self) -> bool:
        return self.stroke_mm is not None and self.rod_mm is not None


@dataclass(frozen=True)
class DegreeRow:
    """One angle; piston_mm and rim_mm are None if the measures for them are unknown."""

    deg: float
    piston_mm: float | None
    rim_mm: float | None
    is_spec: bool = False


def degree_row(engine: Engine, deg: Number, *, is_spec: bool = False) -> DegreeRow:
    """One angle, 0 to 180 degrees BTDC, as mm. Raises BadInput naming the measure or btdc_deg.

    >>> row = degree_row(Engine(stroke_mm=54, rod_mm=110, flywheel_mm=110), 18)
    >>> round(row.piston_mm, 3), round(row.rim_mm, 2)
    (1.638, 17.28)
    """
    piston = btdc_mm(deg, engine.stroke_mm, engine.rod_mm) if engine.stroke_mm and engine.rod_mm else None
    rim = rim_mm(deg, engine.flywheel_mm) if engine.flywheel_mm else None
    return DegreeRow(float(deg), piston, rim, is_spec)


def row_at_mm(engine: Engine, mm: Number) -> DegreeRow:
    """The angle at which the piston is mm below top dead centre. Raises BadInput if it cannot be worked out.

    >>> round(row_at_mm(Engine(stroke_mm=54, rod_mm=110), 2).deg, 3)
    19.916
    """
    if engine.stroke_mm is None or engine.rod_mm is None:
        raise BadInput("stroke_mm and rod_mm", None, "both, filled in with the machine's details")
    deg = btdc_deg(mm, engine.stroke_mm, engine.rod_mm)
    return DegreeRow(deg, float(mm), rim_mm(deg, engine.flywheel_mm) if engine.flywheel_mm else None)


def useful_rows(engine: Engine) -> tuple[DegreeRow, ...]:
    """The spec and the whole degrees around it, including the design's own change; 10 to 30 if the spec is unknown.

    >>> [row.deg for row in useful_rows(Engine(flywheel_mm=110, spec_deg=17.5)) if row.is_spec]
    [17.5]
    """
    if engine.spec_deg is None:
        lowest, highest, specs = *UNKNOWN_DEG, set[float]()
    else:
        specs = {engine.spec_deg, engine.spec_deg + engine.change_deg}
        lowest, highest = math.floor(min(specs)) - AROUND_DEG, math.ceil(max(specs)) + AROUND_DEG
    step = math.ceil((highest - lowest + 1) / MOST_ROWS)
    shown = {float(deg) for deg in range(lowest, highest + 1, step)} | specs
    return tuple(degree_row(engine, deg, is_spec=deg in specs) for deg in sorted(shown) if 0 <= deg <= MOST_DEG)
