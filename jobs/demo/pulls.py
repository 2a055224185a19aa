"""The demo's roller runs: loggers' files of invented engines, sent and read as any garage's."""

from __future__ import annotations

import math
from datetime import datetime

from garage.models.people import Person
from garage.models.visits import Visit
from jobs.changes import runs
from jobs.changes.runs import SaidOfRun
from jobs.core.runs.air import Air
from jobs.core.runs.rollers import Rollers
from jobs.demo.booking import Desk
from jobs.demo.floor import Deed

ROLLERS = Rollers(inertia_kg_m2=6.4, diameter_mm=450)
AIR = Air(1004, 17, 62)  # indoors, some way above the sea
COLUMNS = {0: "revs:rpm", 1: "power:kW", 2: "air-fuel:AFR"}
STEP_RPM = 20


def rollers_told(desk: Desk) -> None:
    units = {"standard": "sae", "power_unit": "kW", "torque_unit": "Nm"}
    runs.set_up_rollers(ROLLERS, **units, by=desk.garage.boss, now=desk.now)


def pulled(
    visit: Visit, *, kilowatts: float, peak_rpm: int, main_jet: str, air_fuel: float, by: Person, timing: str = ""
) -> Deed:
    """One pull that held. kilowatts: at peak_rpm. air_fuel: in the middle of the pull, in AFR."""

    def deed(now: datetime) -> None:
        content = logged(kilowatts, peak_rpm, air_fuel)
        file = runs.send(visit, name="pull.csv", content=content, by=by, now=now)
        fitted = {"main_jet": main_jet, "plug": "8"} | ({"timing": timing} if timing else {})
        said = SaidOfRun(COLUMNS, AIR, "sae", 0.2, adds_losses=False, reduction=0, tyre="", fitted=fitted,
                         pulled_clean=True)  # fmt: skip
        runs.take(file, said, by=by, now=now)

    return deed


def logged(kilowatts: float, peak_rpm: int, air_fuel: float) -> bytes:
    """A two-stroke's file: flat below, a hump of torque where its pipe works, richer towards the top."""
    revs = range(peak_rpm * 45 // 100, peak_rpm * 109 // 100, STEP_RPM)
    highest = max(_shape(rpm / peak_rpm) for rpm in revs)
    rows = (
        f"{rpm};{kilowatts * _shape(rpm / peak_rpm) / highest:.3f};{air_fuel - 0.6 * (rpm / peak_rpm - 0.8):.2f}"
        for rpm in revs
    )
    return ("Revs;Power;AFR\n1/min;kW;AFR\n" + "\n".join(rows)).encode()


def _shape(share: float) -> float:
    """Power at a share of the peak's revs, without a unit: torque times revs."""
    torque = 0.52 + 0.48 * math.exp(-(((share - 0.95) / 0.17) ** 2)) + 0.012 * math.sin(29 * share)
    return share * torque
