"""What a day must achieve, and whether it can: exactly, by the solver's model of the day.

A duty is a job to be placed whole, with its promise kept if that is possible on a day of its own. Selling asks whether
the duties of a day still hold together with one more.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from garage.core.planning.day_problem import DayProblem, Job, Placed
from garage.core.planning.placing import Floor, chain
from garage.core.planning.plan_score import Seats, is_done, is_guarded, keeps
from garage.core.planning.solving.bounds import reaching
from garage.core.planning.solving.day_model import DayModel
from garage.core.planning.solving.solver import SolverOutcome

FIT_WORK_S = (
    0.1  # deterministic seconds of the solver for one question, 0.1 to 0.5 s of a core; 0.01 s is usual, measured
)
FIT_WALL_S = 2.0  # seconds by the clock, the last resort


@dataclass(frozen=True, slots=True)
class Duty:
    """A job that must be placed whole. in_window: with its promise kept."""

    job: Job
    in_window: bool


def duties(floor: Floor, jobs: Sequence[Job]) -> tuple[Duty, ...]:
    """Every job that could be done on its own, with its promise if that could be kept.

    Leaves out a job that fails even on its own, and cuts a begun job to the part that can still be done. floor: the day
    with only the running work on it.
    """
    return tuple(duty for job in jobs if job.open_count and (duty := _duty(floor, job)))


def _duty(floor: Floor, job: Job) -> Duty | None:
    for in_window in (True, False) if job.has_open_promise else (False,):
        placed = chain(floor, job, in_window)
        if len(placed) == job.open_count:
            return Duty(job, in_window)
        if job.has_begun and placed and (not in_window or keeps(job, placed)):
            return Duty(replace(job, steps=job.steps[: placed[-1].step + 1]), in_window)
    return None


def duties_met(floor: Floor, jobs: Sequence[Job], seats: Seats) -> tuple[Duty, ...]:
    """Those of the duties that a plan meets, each as far as it does. jobs, seats: of the whole day."""
    out = []
    for duty in duties(floor, jobs):
        placed = seats[duty.job.id]
        if placed and placed[-1].step >= duty.job.first_open:
            job = replace(duty.job, steps=duty.job.steps[: placed[-1].step + 1])
            out.append(Duty(job, duty.in_window and keeps(job, placed)))
    return tuple(out)


def hold(asked: Sequence[Duty], seats: Seats) -> bool:
    """Whether a filled day meets every duty."""
    return all(
        is_done(duty.job, seats[duty.job.id]) and (not duty.in_window or keeps(duty.job, seats[duty.job.id]))
        for duty in asked
    )


def could_be_clear(floor: Floor, duty: Duty) -> bool:
    """Whether the minutes before its promise could be clear on a day of its own."""
    return duty.in_window and floor.resources.day.guard > 0 and bool(reaching(floor, duty.job, guarded=True))


def clear(day: DayProblem, asked: Sequence[Duty], seats: Seats) -> list[Duty]:
    """The duties before whose promise the minutes are clear."""
    return [duty for duty in asked if duty.in_window and day.guard and is_guarded(day, duty.job, seats)]


def fit_all(floor: Floor, running: list[Placed], asked: Sequence[Duty], work_s: float = FIT_WORK_S) -> Seats | None:
    """A filled day that meets every duty, what runs included. None if there is none, or the solver's work is used up.

    The plan puts clear minutes before a promise above work without one. So the day has as many of them as any day that
    keeps these promises: the plan then leaves out none of the duties. Each duty can be met on its own. floor: the day
    with only the running work on it.
    """
    made = DayModel(floor, running)
    model, left_s = made.model, work_s
    for duty in asked:
        if duty.in_window:
            model.any_of([made.kept[duty.job.id]])
    if made.guarded and not all(duty.in_window for duty in asked):
        clearest = [(-1, flag) for flag in made.guarded.values()]
        best = model.minimised(clearest, {}, work_s=left_s, wall_s=FIT_WALL_S)
        if best.outcome is not SolverOutcome.BEST:
            return None
        left_s -= best.work_s
        model.sum_within(clearest, [(best.value, best.value)])
    for duty in asked:
        for index in range(duty.job.first_open, len(duty.job.steps)):
            model.any_of([made.steps[duty.job.id, index].here])
    solved = model.minimised([], {}, work_s=max(left_s, 0.0), wall_s=FIT_WALL_S)
    return made.seats(solved.values) if solved.values else None
