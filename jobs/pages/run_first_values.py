"""What the form for a new run is filled with: the day's air, the machine's gearing and jets, the garage's standard."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from garage.models.visits import Visit
from garage.reads.gearing import gearing_on_file
from jobs.core.runs.run_facts import FITTED
from jobs.reads.runs import last_air_of, last_run_of, rollers_set_up

WINDOW_S = 0.2
AIR = {"pressure": "pressure_hpa", "temperature": "temperature_c", "humidity": "humidity_percent"}


def run_first_values(visit: Visit, *, day: date) -> dict[str, object]:
    """By field. Of a machine's first run the jets are those that its cards say are fitted."""
    last, air = last_run_of(visit.machine), last_air_of(day) or {}
    said = last.said if last else {}
    fitted = last.fitted if last else _from_cards(visit)
    return {
        **{field: round(air[name], 1) for field, name in AIR.items() if name in air},
        "standard": rollers_set_up().standard,
        "smoothing": said.get("window_s", WINDOW_S),
        "adds_losses": said.get("adds_losses", False),
        **_gearing(visit, said),
        **fitted,
    }


def _gearing(visit: Visit, said: Mapping[str, Any]) -> dict[str, object]:
    """As with the last run, else as on the machine's page, in top gear."""
    if said.get("reduction") or said.get("tyre"):
        return {"reduction": said.get("reduction") or None, "tyre": said.get("tyre", "")}
    on_file = gearing_on_file(visit.machine)
    if on_file is None:
        return {"reduction": None, "tyre": ""}
    return {"reduction": round(on_file.top_reduction, 3), "tyre": f"{on_file.way_mm:.0f} mm"}


def _from_cards(visit: Visit) -> dict[str, str]:
    return {
        name: said for name, label in FITTED.items() if (said := visit.machine.fitted.get(label.split(",")[0].lower()))
    }
