"""What the form for a new run is filled with: the day's air, the machine's gearing and jets, the garage's standard."""

from __future__ import annotations

from datetime import date

from garage.models.visits import Visit
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
        "reduction": said.get("reduction") or None,
        "tyre": said.get("tyre", ""),
        **fitted,
    }


def _from_cards(visit: Visit) -> dict[str, str]:
    return {
        name: said for name, label in FITTED.items() if (said := visit.machine.fitted.get(label.split(",")[0].lower()))
    }
