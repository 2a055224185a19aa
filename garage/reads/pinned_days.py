"""A day read once, with a step fixed by hand or left free: what two plans of it are made from."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from garage.core.errors import Refused
from garage.core.planning.day_problem import DayProblem, Pin
from garage.core.planning.day_rules import VisitToPlan
from garage.models.people import Person
from garage.models.shop import Station
from garage.models.visits import Step
from garage.reads.day_problem import DaysRead, name_in_plan, problem_of


@dataclass(frozen=True)
class HandPin:
    """What a person fixes by hand, each part if they like."""

    station: int | None = None
    by_person: Person | None = None
    begins_at: datetime | None = None

    @property
    def is_empty(self) -> bool:
        return not (self.station or self.by_person or self.begins_at)


def check_can_be_fixed(step: Step, pin: HandPin, *, now: datetime) -> None:
    """Raises Refused with what speaks against it. The rule of the rollers is asked by the door itself."""
    if step.began_at:
        raise Refused(f"The {step.what} of visit {step.visit.number} has begun: it can't be moved any more.")
    if pin.station is not None and not Station.objects.filter(kind=step.at, number=pin.station).exists():
        raise Refused(f"There is no {step.at} {pin.station} in the shop.")
    if pin.begins_at is not None and pin.begins_at + timedelta(minutes=1) <= now:
        raise Refused(f"That time is past: fix the {step.what} of visit {step.visit.number} to a later one.")


def day_with_pin(read: DaysRead, day: date, step: Step, place: int, pin: HandPin) -> DayProblem:
    """The day as if the step were fixed so, in place of what is fixed of it now. place: of the step among its visit's,
    from 0.
    """

    def fixed(visit: VisitToPlan) -> VisitToPlan:
        one = replace(
            visit.steps[place],
            pin_station=pin.station,
            pin_by=name_in_plan(read, pin.by_person),
            pin_begins_at=pin.begins_at,
        )
        return replace(visit, steps=(*visit.steps[:place], one, *visit.steps[place + 1 :]))

    visits = [fixed(one) if one.number == step.visit.number else one for one in read.visits.get(day, [])]
    return problem_of(replace(read, visits={**read.visits, day: visits}), day)


def is_planned_so(problem: DayProblem, step: Step, place: int) -> bool:
    """Whether the plan takes account of what is fixed: the step belongs to the day, and its time is not past."""
    job = next((job for job in problem.jobs if job.id == str(step.visit.number)), None)
    return job is not None and place < len(job.steps) and job.steps[place].pin != Pin()
