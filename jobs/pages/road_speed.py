"""The road speed that an owner told, in revs beside what the stand heard."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from diagnostics.hearing.reads.heard import stand_speeds
from garage.core.machines.gearing import roll_out_mm, rpm_per_km_h
from garage.models.owners import Machine
from garage.models.visits import Visit
from garage.reads.gearing import gearing_on_file
from jobs.core.runs.road_speed import road_speed_sentence, told_speeds
from jobs.reads.runs import facts_of, last_geared_run_of

NO_GEARING = (
    "{speeds}: write gearing and tyre down on the machine’s page, or with a run, and it is told here in revs, beside "
    "what the stand heard."
)


@dataclass(frozen=True)
class Geared:
    """gear: in words, with rpm for each km/h in it; lower: of the gears below it, by name, where they are known."""

    gear: str
    rpm_per_km_h: float
    lower: Mapping[str, float]


def _geared(machine: Machine) -> Geared | None:
    """A run's own figures win: they were read beside its curve."""
    if run := last_geared_run_of(machine):
        rpm = rpm_per_km_h(run.said["reduction"], roll_out_mm(run.said["tyre"]))
        return Geared(f"the gear of {facts_of(run).name}", rpm, {})
    if gearing := gearing_on_file(machine):
        return Geared(gearing.top_says, gearing.top, gearing.lower)
    return None


def road_speed_said(visit: Visit) -> str:
    """Empty where the owner told none."""
    told = told_speeds(visit.wants)
    if not told:
        return ""
    geared = _geared(visit.machine)
    if geared is None:
        return NO_GEARING.format(speeds=" or ".join(one.says for one in told).capitalize())
    ceiling_rpm, peak_rpm = stand_speeds(visit)
    return road_speed_sentence(
        told,
        geared.rpm_per_km_h,
        gear=geared.gear,
        lower=geared.lower,
        ceiling_rpm=ceiling_rpm,
        peak_rpm=peak_rpm,
    )
