"""Limits of a machine's measures that no engine of this trade exceeds. Common practice, no source."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from garage.core.errors import BadInput

SPARKS = (0.5, 1.0, 2.0)  # sparks a turn: the values that the judgement knows
BETWEEN = {  # field: as the pages call it, least and most
    "stroke_mm": ("Stroke, mm", 10, 200),
    "rod_mm": ("Rod, mm", 20, 400),
    "flywheel_mm": ("Flywheel, mm across", 30, 500),
    "spec_btdc": ("Static timing, degrees BTDC", -10, 60),
    "curve_deg": ("Change from tickover to peak, degrees", 0, 40),
    "design_rpm": ("Revs on the stand", 1000, 20000),
}


def check_measures(values: Mapping[str, Any]) -> None:
    """values: the fields of BETWEEN and fires_per_turn; None where not known. Raises BadInput naming the field."""
    for name, (where, least, most) in BETWEEN.items():
        found = values[name]
        if found is not None and not least <= found <= most:
            raise BadInput(where, found, f"{least} to {most}, or nothing")
        if name == "rod_mm":
            _check_rod(values["stroke_mm"], found)
    if values["fires_per_turn"] not in {None, *SPARKS}:
        raise BadInput("Sparks a turn", values["fires_per_turn"], "0.5, 1 or 2")


def check_years(first: int | None, last: int | None) -> None:
    """The first and last year that a kind was built. Raises BadInput."""
    if first and last and last < first:
        raise BadInput("Last year", last, f"{first} or later")


def _check_rod(stroke_mm: Any, rod_mm: Any) -> None:
    if stroke_mm and rod_mm and rod_mm * 2 <= stroke_mm:
        raise BadInput("Rod, mm", rod_mm, f"longer than half the stroke, {stroke_mm / 2}")
