"""Answers one line of the timing command: which of its three questions is asked, and what that needs."""

from __future__ import annotations

from typing import Any

from diagnostics.core.timing.packers import packers
from diagnostics.core.timing.piston import btdc_deg, btdc_mm, rim_mm
from diagnostics.core.timing.strobe import judge_strobe
from garage.core.errors import BadInput

CHANGE_KEYS = {"retarding": "retards_deg", "advancing": "advances_deg"}


def answer_line(line: dict[str, Any]) -> dict[str, Any]:
    """The answer to one `ask`, as in the manual of `timing`; numbers come as int, Decimal or float.

    Raises BadInput naming the key that is missing or out of range.

    >>> answer_line({"ask": "packer", "pickup_mm": 12, "magnet_mm": 12.5, "packers_mm": [0.5]})["stack_mm"]
    [0.5]
    """
    ask = line.get("ask")
    if ask == "piston":
        return _piston(line)
    if ask == "strobe":
        return _strobe(line)
    if ask == "packer":
        return _packer(line)
    raise BadInput("ask", ask, "piston, strobe or packer")


def _piston(line: dict[str, Any]) -> dict[str, Any]:
    degrees, travel = _of(line, "btdc_deg"), _of(line, "btdc_mm")
    if degrees is not None and travel is not None:
        raise BadInput("btdc_deg", f"{degrees} beside a btdc_mm of {travel}", "one of the two")
    if degrees is None and travel is None:
        raise BadInput("btdc_deg", None, "crank degrees from 0 to 180, or btdc_mm in its place")
    stroke, rod, flywheel = _of(line, "stroke_mm"), _of(line, "rod_mm"), _of(line, "flywheel_mm")
    if travel is None:
        travel = btdc_mm(degrees, stroke, rod)
    else:
        degrees = btdc_deg(travel, stroke, rod)
    answer = {"btdc_deg": float(degrees), "btdc_mm": float(travel)}
    return answer if flywheel is None else answer | {"rim_mm": rim_mm(degrees, flywheel)}


def _strobe(line: dict[str, Any]) -> dict[str, Any]:
    curve = "fixed" if line.get("curve") is None else line["curve"]
    key = CHANGE_KEYS.get(curve) if isinstance(curve, str) else None
    try:
        judged = judge_strobe(_of(line, "spec_btdc"), _of(line, "readings"), curve, _of(line, key) if key else 0)
    except BadInput as error:
        if error.where != "change_deg" or key is None:
            raise
        raise BadInput(key, error.found, f"the design's own change in {error.allowed}") from error
    return {
        "verdict": judged.verdict,
        "at_idle": judged.at_idle,
        "at_peak": judged.at_peak,
        "drift_deg": judged.drift_deg,
        "erratic_deg": judged.erratic_deg,
        "means": list(judged.means),
        "look_at": list(judged.look_at),
    }


def _packer(line: dict[str, Any]) -> dict[str, Any]:
    found = packers(_of(line, "pickup_mm"), _of(line, "magnet_mm"), _of(line, "packers_mm"))
    answer: dict[str, Any] = {
        "needed_mm": found.needed_mm,
        "stack_mm": None if found.stack_mm is None else list(found.stack_mm),
        "left_over_mm": found.left_over_mm,
        "means": list(found.means),
    }
    if found.nearest_mm is not None:
        answer["nearest_mm"] = list(found.nearest_mm)
    return answer


def _of(line: dict[str, Any], key: str) -> Any:
    """The value of the key, None if it is null or missing; the function that uses it checks it."""
    return line.get(key)
