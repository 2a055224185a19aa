"""A day as it is planned: the problem, what people work to, and what the planner proposes from now on.

Every page that shows a plan asks here: day sheet, wall, feeds, pins. What people work to is read against the day as it
is: a step that is no longer to be done is not in it, a session of a machine that must not be run above all.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from functools import cached_property

from garage.core.planning import planner
from garage.core.planning.day_problem import DayProblem, Placed, Plan
from garage.core.planning.standing_plan import StandingPlan, StepPlaces, kept_of, placed_of
from garage.models.plans import AcceptedPlan
from garage.models.shop import Shop
from garage.reads.day_problem import DaysRead, problem_of, read_days


@dataclass(frozen=True)
class DayPlan:
    """problem: its `standing` is the accepted plan as far as it still holds. proposed: from now on. accepted: None
    before the day's first one.

    step_ids: the row of each step of the problem. names: the plan's name of each person, by id.
    """

    day: date
    problem: DayProblem
    proposed: Plan
    accepted: AcceptedPlan | None
    step_ids: StepPlaces
    names: Mapping[int, str]

    @property
    def to_work_to(self) -> tuple[Placed, ...]:
        """The accepted plan as far as it still holds, or what is proposed while none is accepted. Work that is over
        since is still in it. For walls and feeds, which show what people work to and no proposal.
        """
        return self.proposed.placed if self.accepted is None else self.problem.standing

    @cached_property
    def proposed_to_keep(self) -> StandingPlan:
        """The proposal as it is kept once somebody accepts it."""
        ids = {name: person for person, name in self.names.items()}
        return kept_of(self.proposed.placed, self.step_ids, ids)


def day_plan(day: date, shop: Shop, now: datetime) -> DayPlan:
    """One day with its plans. It plans once."""
    return planned(read_days(day, day, now, shop), day, accepted_on(day))


def planned(read: DaysRead, day: date, accepted: Sequence[AcceptedPlan]) -> DayPlan:
    """One of the days read. accepted: of that day, in order."""
    newest = accepted[-1] if accepted else None
    problem = problem_of(read, day)
    step_ids = _step_ids(read, problem, day)
    if newest:
        problem = replace(problem, standing=placed_of(newest.plan, step_ids, read.names))
    return DayPlan(day, problem, planner.plan(problem), newest, step_ids, read.names)


def accepted_on(day: date) -> list[AcceptedPlan]:
    """Every plan that was accepted for this day, the newest last, with who did."""
    return list(AcceptedPlan.objects.filter(day=day).select_related("by").order_by("number"))


def _step_ids(read: DaysRead, problem: DayProblem, day: date) -> dict[tuple[str, int], int]:
    """Only steps that are due. They are the first of their visit, so both count them alike."""
    due = {job.id: len(job.steps) for job in problem.jobs}
    return {
        (str(visit.number), index): step.id
        for visit in read.visits.get(day, [])
        for index, step in enumerate(visit.steps[: due.get(str(visit.number), 0)])
        if step.id is not None
    }
