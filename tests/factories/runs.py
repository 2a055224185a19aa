"""Loggers' files with known answers, and runs made of them."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from django.utils import timezone

from garage.models.people import Person
from garage.models.visits import Visit
from jobs.changes import runs
from jobs.core.runs.air import Air
from jobs.models.runs import Run


def power_file(kilowatts: float = 10.0) -> bytes:
    """Power level from 5000 to 9000 rpm."""
    rows = (f"{rpm:.0f};{kilowatts:.3f}" for rpm in np.linspace(5000, 9000, 200))
    return ("Revs;Power\n1/min;kW\n" + "\n".join(rows)).encode()


def roller_file() -> bytes:
    """60 to 110 km/h evenly in 5 s: with 6.25 kg·m² and 500 mm 7.716 kW at 100 km/h."""
    rows = (f"{t:.2f};{60 + 10 * t:.3f}".replace(".", ",") for t in np.arange(0, 5, 0.01))
    return ("Time;Roller speed\ns;km/h\n" + "\n".join(rows)).encode()


def said(**given: object) -> runs.SaidOfRun:
    values: dict[str, object] = {
        "columns": {0: "revs:rpm", 1: "power:kW"},
        "air": Air(974.52, 30, 0),
        "standard": "sae",
        "window_s": 0.2,
        "adds_losses": False,
        "reduction": 0.0,
        "tyre": "",
        "fitted": {"main_jet": "98"},
        "pulled_clean": None,
    }
    return runs.SaidOfRun(**values | given)


def run(
    visit: Visit, *, by: Person, kilowatts: float = 10.0, fitted: Mapping[str, str] | None = None, **given: object
) -> Run:
    content = power_file(kilowatts)
    file = runs.send(visit, name="run.csv", content=content, by=by, now=timezone.now())
    more = {"fitted": fitted} if fitted is not None else {}
    return runs.take(file, said(**more, **given), by=by, now=timezone.now())
