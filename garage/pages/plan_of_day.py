"""The plan that people work to, on the day sheet: the proposal, what has moved since it was accepted, and why.

Beside it, what the drawing and the list say of single steps: which runs late, which stood elsewhere.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from garage.core.planning.day_problem import Placed
from garage.core.planning.day_rules import DayAt
from garage.core.planning.standing.plan_change_words import station_words
from garage.core.planning.standing.plan_changes import SLIP_MIN, MovedStep, runs_late
from garage.core.planning.standing.standing_plan import StandingPlan
from garage.core.time.day_minutes import hhmm
from garage.models.plans import AcceptedPlan
from garage.models.visits import Step, Visit
from garage.reads.day_plan import DayPlan

SOMEBODY = "somebody who has left"


@dataclass(frozen=True)
class AcceptedPart:
    """One plan of a day that is over, as it was accepted. lines: its steps in words."""

    accepted_at: datetime
    by: str
    lines: tuple[str, ...]


@dataclass(frozen=True)
class PlanOfDay:
    """accepted: None before the first. changes: what the proposal changes of it, a sentence each. seen: what the button
    sends back; empty where there is nothing to accept. was: of a day that is over, all that was accepted.
    """

    accepted: AcceptedPlan | None
    changes: tuple[str, ...]
    seen: str
    at_words: str = ""  # when it was accepted, as in "the plan of 07:45"
    was: tuple[AcceptedPart, ...] = ()

    @property
    def is_proposal(self) -> bool:
        return self.accepted is None and bool(self.seen)


def plan_of_day(plan: DayPlan, visits: Sequence[Visit], seen: DayAt) -> PlanOfDay:
    at_words = _at_words(plan.accepted.accepted_at, seen) if plan.accepted else ""
    if plan.day < seen.local.day(seen.now):
        was = tuple(_parts(plan, visits)) if plan.accepted else ()
        return PlanOfDay(plan.accepted, (), "", at_words, was)
    has_news = bool(plan.changes) if plan.accepted else bool(plan.proposed.placed)
    return PlanOfDay(plan.accepted, plan.change_words, str(plan.seen) if has_news else "", at_words)


def _at_words(accepted_at: datetime, seen: DayAt) -> str:
    """The day too, if it was accepted on another."""
    return f"{seen.local.shown(accepted_at):%H:%M}" if seen.has(accepted_at) else seen.local.in_words(accepted_at)


def _parts(plan: DayPlan, visits: Sequence[Visit]) -> Iterator[AcceptedPart]:
    steps = {step.pk: step for visit in visits for step in visit.steps.all()}
    for accepted in plan.all_accepted:
        lines = tuple(_lines(accepted.plan, steps, plan.names))
        yield AcceptedPart(accepted.accepted_at, accepted.by.name, lines)


def _lines(kept: StandingPlan, steps: Mapping[int, Step], names: Mapping[int, str]) -> Iterator[str]:
    for one in kept.steps:
        what = steps[one.step].what if one.step in steps else "work"
        where = station_words(one.at, one.station)
        yield f"{hhmm(one.begin)} {one.visit}: {what}, {where}, {names.get(one.person, SOMEBODY)}"


class PlanMarks:
    """What is said of single steps against the plan that people work to."""

    def __init__(self, plan: DayPlan) -> None:
        self.plan = plan
        self.moved = {(m.after.job, m.after.step): m for change in plan.changes for m in change.moved}
        self.began_as_planned = {s.step: s.begin for s in plan.accepted.plan.steps} if plan.accepted else {}

    def was(self, placed: Placed) -> int | None:
        """Where it stood, if it has moved."""
        moved = self.moved.get((placed.job, placed.step))
        return moved.before.begin if moved else None

    def said(self, placed: Placed) -> tuple[str, ...]:
        """Who does it, and what is to be known of it in a few words each."""
        moved = self.moved.get((placed.job, placed.step))
        late = ("runs late",) if self.is_late(placed) else ()
        return (self.called(placed.by), *late, *((self._was_words(moved),) if moved else ()))

    def called(self, name: str) -> str:
        """A person's first name, unless somebody else of the day has it too: the drawing has little room."""
        first = name.partition(" ")[0]
        return name if sum(other.partition(" ")[0] == first for other in self.plan.names.values()) > 1 else first

    def is_late(self, placed: Placed) -> bool:
        """Whether it runs over its own time, or ends later than it stood by more than a slip."""
        day = self.plan.problem
        step = next(job for job in day.jobs if job.id == placed.job).steps[placed.step]
        is_over_its_time = step.is_running and step.began is not None and step.began + step.minutes <= day.now
        return is_over_its_time or runs_late(day, placed) > SLIP_MIN

    def planned_for(self, step: Step, begin: int) -> int | None:
        """Of work done: when it should have begun, if that was another time. begin: the minute at which it did."""
        planned = self.began_as_planned.get(step.pk)
        return planned if planned is not None and abs(planned - begin) > SLIP_MIN else None

    def _was_words(self, moved: MovedStep) -> str:
        before, after = moved.before, moved.after
        if before.station != after.station:
            return f"was {station_words(before.at, before.station)} at {hhmm(before.begin)}"
        if abs(before.begin - after.begin) > SLIP_MIN or before.by == after.by:
            return f"was {hhmm(before.begin)}"
        return f"was {self.called(before.by) or SOMEBODY}"
