"""The road speed that an owner told, in revs beside what the stand heard."""

from __future__ import annotations

from diagnostics.hearing.reads.heard import clip_verdict
from garage.models.visits import Visit
from jobs.core.runs.gearing import roll_out_mm, rpm_per_km_h
from jobs.core.runs.road_speed import road_speed_sentence, told_speeds
from jobs.reads.runs import facts_of, last_geared_run_of

CERTAIN = 1.0  # of a person's verdict: only what was heard counts here
NO_GEARING = (
    "{speeds}: write reduction and tyre down with a run of this machine, and it is told here in revs, beside what the "
    "stand heard."
)


def road_speed_said(visit: Visit) -> str:
    """Empty where the owner told none."""
    told = told_speeds(visit.wants)
    if not told:
        return ""
    run = last_geared_run_of(visit.machine)
    if run is None:
        return NO_GEARING.format(speeds=" or ".join(one.says for one in told).capitalize())
    heard = clip_verdict(visit, CERTAIN)
    return road_speed_sentence(
        told,
        rpm_per_km_h(run.said["reduction"], roll_out_mm(run.said["tyre"])),
        run=facts_of(run).name,
        ceiling_rpm=heard.ceiling_rpm if heard else None,
        peak_rpm=heard.peak_rpm if heard else None,
    )
