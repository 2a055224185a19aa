"""What each station does now and next, and what is late: for a wall that is read from afar.

Times are minutes from local midnight. What people work to says what comes next. What the planner sees now says what
runs and until when.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from enum import Enum

from garage.core.planning.day_problem import DayProblem, Placed, Plan

BEHIND_MIN = (
    5  # min after which work that has not begun is called late: a piece of the plan. Common practice, no source
)


@dataclass(frozen=True, slots=True)
class StationNow:
    """at, number: the station. now, next: the step that runs there and the one after it, if any."""

    at: str
    number: int
    now: Placed | None
    next: Placed | None


class Delay(Enum):
    RUNS_OVER = "runs over"  # since: when it should have ended
    NOT_BEGUN = "not begun"  # since: when it should have begun
    NOT_KEPT = "not kept"  # since: the promised time


@dataclass(frozen=True, slots=True)
class Late:
    """job, step: which piece of work."""

    why: Delay
    job: str
    step: int
    since: int


def as_worked(problem: DayProblem, to_work_to: Sequence[Placed], proposed: Plan) -> tuple[Placed, ...]:
    """What runs, as the planner sees it now; then what has not begun, as people work to it, by begin time."""
    begun = _begun(problem)
    running = [p for p in proposed.placed if (p.job, p.step) in begun]
    ahead = [p for p in to_work_to if (p.job, p.step) not in begun]
    return (*running, *sorted(ahead, key=lambda p: (p.begin, p.job, p.step)))


def stations_now(
    stations: Iterable[tuple[str, int]], problem: DayProblem, to_work_to: Sequence[Placed], proposed: Plan
) -> tuple[StationNow, ...]:
    """One for each station, in the order given. to_work_to: the plan that people work to."""
    begun, work = _begun(problem), as_worked(problem, to_work_to, proposed)
    running = {(p.at, p.station): p for p in work if (p.job, p.step) in begun}
    following = {(p.at, p.station): p for p in reversed(work) if (p.job, p.step) not in begun}
    return tuple(StationNow(at, n, running.get((at, n)), following.get((at, n))) for at, n in stations)


def late_now(problem: DayProblem, to_work_to: Sequence[Placed], proposed: Plan) -> tuple[Late, ...]:
    """The longest late first."""
    late = (*_running_over(problem), *_not_begun(problem, to_work_to), *_not_kept(problem, proposed))
    return tuple(sorted(late, key=lambda one: (one.since, one.job, one.step)))


def _running_over(problem: DayProblem) -> Iterator[Late]:
    for job in problem.jobs:
        for index, step in enumerate(job.steps):
            if step.began is not None and step.ended is None and step.began + step.minutes < problem.now:
                yield Late(Delay.RUNS_OVER, job.id, index, step.began + step.minutes)


def _not_begun(problem: DayProblem, to_work_to: Sequence[Placed]) -> Iterator[Late]:
    begun = _begun(problem)
    for p in to_work_to:
        if (p.job, p.step) not in begun and p.begin + BEHIND_MIN < problem.now:
            yield Late(Delay.NOT_BEGUN, p.job, p.step, p.begin)


def _not_kept(problem: DayProblem, proposed: Plan) -> Iterator[Late]:
    broken = {one.job for one in proposed.broken}
    for job in problem.jobs:
        if job.id in broken and job.promised is not None and job.first_roller is not None:
            yield Late(Delay.NOT_KEPT, job.id, job.first_roller, job.promised)


def _begun(problem: DayProblem) -> set[tuple[str, int]]:
    return {(job.id, index) for job in problem.jobs for index, step in enumerate(job.steps) if step.began is not None}
