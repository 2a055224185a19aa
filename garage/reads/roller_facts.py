"""What the rule of the rollers (core/roller_rule.py) takes, read from the rows."""

from __future__ import annotations

from dataclasses import replace

from garage.core import states
from garage.core.roller_rule import RollerAct, RollerFacts, RollerStop, stop_for
from garage.core.selling.own_changes import OwnTime
from garage.models.owners import Machine
from garage.models.shop import ROLLER, Shop, VisitKind
from garage.models.visits import Visit


def roller_facts_of(visit: Visit) -> RollerFacts:
    return RollerFacts(
        number=visit.number,
        state=visit.state,
        must_not_run=tuple(visit.must_not_run),
        route=visit.route,
        has_passed_gate=visit.gate_passed_at is not None,
        has_passed_at_bench=visit.gate_at_bench_passed_at is not None,
    )


def facts_without_route(visit: Visit) -> RollerFacts:
    """For the deed that decides on its route: the findings alone speak."""
    return replace(roller_facts_of(visit), route="")


def why_no_time(visit: Visit, at: str) -> str:
    """Why the visit is given no time at that kind of place, in a sentence for its page. Empty if it may have one."""
    stop = stop_for(RollerAct.HAVE_TIME, roller_facts_of(visit)) if at == ROLLER else None
    return stop.sentence if stop else ""


def own_time(visit: Visit, shop: Shop) -> OwnTime:
    """The time that the owner of the visit would move."""
    return OwnTime(
        visit.starts_at, visit.at == ROLLER, roller_facts_of(visit), shop.late_hours, visit.waits_for_its_owner
    )


def why_no_rollers(machine: Machine, kind: VisitKind) -> str:
    """Why a machine that was here before can't be booked for this kind, in a sentence. Empty if it can."""
    stop = _stop_on(machine) if kind.at == ROLLER else None
    return stop.sentence if stop else ""


def _stop_on(machine: Machine) -> RollerStop | None:
    """What keeps the machine from roller time by a new booking.

    Its visits since the last one that was collected count, and that one by its findings alone: the route of a visit
    that is over is history, what was found and never put right is not.
    """
    for visit in Visit.objects.filter(machine=machine).order_by("-number"):
        is_over = visit.state in states.OVER
        stop = stop_for(RollerAct.HAVE_TIME, facts_without_route(visit) if is_over else roller_facts_of(visit))
        if stop is not None or visit.state == states.COLLECTED:
            return stop
    return None
