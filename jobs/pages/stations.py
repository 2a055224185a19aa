"""Where the work of now can begin."""

from __future__ import annotations

from garage.core.roller_rule import RollerAct, StopKind, stop_for
from garage.models.shop import ROLLER, Station
from garage.models.visits import Step, Visit
from garage.reads.roller_facts import roller_facts_of


def gate_is_next(visit: Visit, step: Step | None) -> bool:
    """Whether the step is the gate, or waits for it."""
    if step is None or step.began_at:
        return False
    stop = stop_for(RollerAct.GO_ON, roller_facts_of(visit)) if step.at == ROLLER else None
    return step.is_check or (stop is not None and stop.kind is StopKind.NO_GATE)


def why_no_ride(visit: Visit) -> str:
    """Why nobody rides the machine, in a sentence. Empty if somebody may."""
    stop = stop_for(RollerAct.BE_RIDDEN, roller_facts_of(visit))
    return stop.sentence if stop else ""


def stations_for(visit: Visit, step: Step | None) -> list[Station]:
    """Where the step can begin: nowhere while it runs, or while the rule of the rollers keeps it off them. A machine
    that is strapped down begins where it stands.
    """
    if step is None or step.began_at:
        return []
    if step.at == ROLLER and stop_for(RollerAct.GO_ON, roller_facts_of(visit)):
        return []
    stands_on = {"number": step.station} if step.strapped_from and step.station else {}
    return list(Station.objects.filter(kind=step.at, **stands_on))
