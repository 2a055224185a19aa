"""A day as it is planned: the problem, what people work to, and what the planner proposes from now on.

Every page that shows a plan asks here: day sheet, wall, feeds, pins. What people work to is read against the day as it
is: a step that is no longer to be done is not in it, a session of a machine that must not be run above all.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from functools import cached_property

from garage.core import routes, states
from garage.core.planning import planner
from garage.core.planning.day_problem import DayProblem, Placed, Plan
from garage.core.planning.day_rules import VisitStep, VisitToPlan
from garage.core.planning.standing.plan_change_words import Whats, change_words
from garage.core.planning.standing.plan_changes import Gone, GoneStep, PlanChange, plan_changes
from garage.core.planning.standing.standing_plan import (
    SeenPlan,
    StandingPlan,
    StandingStep,
    StepPlaces,
    kept_of,
    placed_of,
)
from garage.core.time.local_time import LocalTime
from garage.models.plans import AcceptedPlan
from garage.models.shop import PLACE_WORDS, Shop
from garage.models.visits import Step
from garage.reads.day_problem import DaysRead, problem_of, read_days, visit_to_plan


@dataclass(frozen=True)
class DayPlan:
    """problem: its `standing` is the accepted plan as far as it still holds. proposed: from now on. accepted: None
    before the day's first one.

    all_accepted: every plan that was accepted for it, in order. read: the rows that it was made from.

    step_ids, whats: the row of each step of the problem, and what it is. names: the plan's name of each person, by id.
    gone: steps of the accepted plan that are not of the day any more.
    """

    day: date
    problem: DayProblem
    proposed: Plan
    all_accepted: tuple[AcceptedPlan, ...]
    read: DaysRead
    step_ids: StepPlaces
    whats: Whats
    gone: tuple[GoneStep, ...] = ()

    @property
    def accepted(self) -> AcceptedPlan | None:
        return self.all_accepted[-1] if self.all_accepted else None

    @property
    def names(self) -> Mapping[int, str]:
        return self.read.names

    @property
    def to_work_to(self) -> tuple[Placed, ...]:
        """The accepted plan as far as it still holds, or what is proposed while none is accepted. Work that is over
        since is still in it. For walls and feeds, which show what people work to and no proposal.
        """
        return self.proposed.placed if self.accepted is None else self.problem.standing

    @cached_property
    def changes(self) -> tuple[PlanChange, ...]:
        """What the proposal changes of the accepted plan. Empty before there is one."""
        return () if self.accepted is None else plan_changes(self.problem, self.proposed, self.gone)

    @property
    def change_words(self) -> tuple[str, ...]:
        return tuple(change_words(change, self.whats) for change in self.changes)

    def is_still(self, seen: SeenPlan) -> bool:
        """Whether what somebody looked at is still what is proposed, by the rule that tells a change from a slip."""
        if seen.after != self.number or any(step.step not in self.step_ids.values() for step in seen.plan.steps):
            return False
        as_seen = replace(self.problem, standing=placed_of(seen.plan, self.step_ids, self.names))
        return not plan_changes(as_seen, self.proposed)

    @property
    def number(self) -> int:
        """Of the accepted plan, 0 before there is one."""
        return self.accepted.number if self.accepted else 0

    @property
    def seen(self) -> SeenPlan:
        """What a button sends back with it, of whoever looks at this day."""
        return SeenPlan(self.number, self.proposed_to_keep)

    @cached_property
    def proposed_to_keep(self) -> StandingPlan:
        """The proposal as it is kept once somebody accepts it."""
        ids = {name: person for person, name in self.names.items()}
        return kept_of(self.proposed.placed, self.step_ids, ids)


def day_plan(day: date, shop: Shop, now: datetime) -> DayPlan:
    """One day with its plans. It plans once."""
    return planned(read_days(day, day, now, shop), day, accepted_on(day))


def planned(read: DaysRead, day: date, accepted: Sequence[AcceptedPlan]) -> DayPlan:
    """One of the days read. accepted: in order; those of other days are left out."""
    of_day = tuple(one for one in accepted if one.day == day)
    newest = of_day[-1] if of_day else None
    problem = problem_of(read, day)
    due = _due_steps(read, problem, day)
    step_ids = {place: step.id for place, step in due.items() if step.id is not None}
    gone: tuple[GoneStep, ...] = ()
    if newest:
        problem = replace(problem, standing=placed_of(newest.plan, step_ids, read.names))
        gone = gone_steps(newest.plan, step_ids, read, day)
    return DayPlan(
        day=day,
        problem=problem,
        proposed=planner.plan(problem),
        all_accepted=of_day,
        read=read,
        step_ids=step_ids,
        whats={place: step.what for place, step in due.items()},
        gone=gone,
    )


def accepted_on(*days: date) -> list[AcceptedPlan]:
    """Every plan that was accepted for these days, of each the newest last, with who did."""
    return list(AcceptedPlan.objects.filter(day__in=days).select_related("by").order_by("day", "number"))


def gone_steps(plan: StandingPlan, step_ids: StepPlaces, read: DaysRead, day: date) -> tuple[GoneStep, ...]:
    """Steps of a kept plan that are not part of the day any more, those that were begun left out: they were done."""
    due = set(step_ids.values())
    missing = [kept for kept in plan.steps if kept.step not in due]
    rows = _steps_of(missing, read, day)
    return tuple(
        GoneStep(
            job=str(kept.visit),
            what=row[1].what if row else PLACE_WORDS[kept.at],
            at=kept.at,
            station=kept.station,
            by=read.names.get(kept.person, ""),
            begin=kept.begin,
            end=kept.end,
            why=_why_gone(row[0], day, read.local) if row else Gone.DROPPED,
        )
        for kept in missing
        if (row := rows.get(kept.step)) is None or row[1].began_at is None
    )


def _steps_of(
    missing: Sequence[StandingStep], read: DaysRead, day: date
) -> dict[int | None, tuple[VisitToPlan, VisitStep]]:
    """By their rows, with their visits. Only those of visits that have left the day are asked for."""
    out = {step.id: (visit, step) for visit in read.visits.get(day, []) for step in visit.steps}
    wanted = {kept.step for kept in missing} - out.keys()
    for row in Step.objects.filter(pk__in=wanted).select_related("visit", "by", "pin_by") if wanted else ():
        visit = visit_to_plan(row.visit, [row])
        out[row.pk] = (visit, visit.steps[0])
    return out


def _why_gone(visit: VisitToPlan, day: date, local: LocalTime) -> Gone:
    reasons = {
        Gone.CALLED_OFF: visit.state == states.CALLED_OFF,
        Gone.DID_NOT_COME: visit.state == states.DID_NOT_COME,
        Gone.MUST_NOT_RUN: not visit.may_be_planned_on_the_rollers,
        Gone.TO_PUT_RIGHT: visit.route in routes.TO_FIX and not visit.has_passed_gate,
        Gone.WAITING: visit.state in {states.WAITING_FOR_PARTS, states.WAITING_FOR_OWNER},
        Gone.NO_TIME: visit.starts_at is None and visit.arrived_at is None,
        Gone.ANOTHER_DAY: visit.starts_at is not None and local.day(visit.starts_at) != day,
    }
    return next((why for why, is_so in reasons.items() if is_so), Gone.DROPPED)


def _due_steps(read: DaysRead, problem: DayProblem, day: date) -> dict[tuple[str, int], VisitStep]:
    """Only steps that are due. They are the first of their visit, so both count them alike."""
    due = {job.id: len(job.steps) for job in problem.jobs}
    return {
        (str(visit.number), index): step
        for visit in read.visits.get(day, [])
        for index, step in enumerate(visit.steps[: due.get(str(visit.number), 0)])
    }
