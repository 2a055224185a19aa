"""Scores a plan level by level, as the manual of `plan` defines it."""

from __future__ import annotations

from dataclasses import dataclass

from garage.core.planning.day_problem import PROMISE_WINDOW_MIN, DayProblem, Job, Placed
from garage.core.time.day_minutes import DAY_MIN

Seats = dict[str, list[Placed]]  # job id to its placed steps, running ones included, in the order of its steps


@dataclass(frozen=True, slots=True, order=True)
class PlanScore:
    """Compared field by field, more is better. The last three are negative sums of minutes, risk and moved steps."""

    kept: int
    guarded: int
    worth: int
    minus_ends_min: int
    minus_risk_min: float
    minus_moved: int


def is_done(job: Job, placed: list[Placed]) -> bool:
    """Whether every step of a job is over, running or placed."""
    have = {p.step for p in placed}
    return all(step.ended is not None or index in have for index, step in enumerate(job.steps))


def promised_begin(job: Job, placed: list[Placed]) -> int | None:
    """The minute at which the job's first roller step begins or began. None if there is none or it is not placed."""
    index = job.first_roller
    if index is None:
        return None
    began = job.steps[index].began
    return began if began is not None else next((p.begin for p in placed if p.step == index), None)


def keeps(job: Job, placed: list[Placed]) -> bool:
    begin = promised_begin(job, placed)
    return job.promised is not None and begin is not None and 0 <= begin - job.promised <= PROMISE_WINDOW_MIN


def is_guarded(day: DayProblem, job: Job, seats: Seats) -> bool:
    """Whether the rollers, the person and the machine have no other work in the guard minutes of a kept promise."""
    index = job.first_roller
    if index is None or job.promised is None or day.guard == 0 or job.steps[index].began is not None:
        return True
    since, until = job.promised - day.guard, job.promised
    mine = next(p for p in seats[job.id] if p.step == index)
    if any(p.end > since for p in seats[job.id] if p.step < index):
        return False
    return not any(
        other.begin < until and other.end > since and (other.by == mine.by or _same_station(other, mine))
        for placed in seats.values()
        for other in placed
        if other.job != job.id
    )


def end_minute(job: Job, placed: list[Placed]) -> int:
    """The minute at which the job's last step ends, or 24:00 if the job is left out or cannot be finished."""
    if not is_done(job, placed):
        return DAY_MIN
    return placed[-1].end if placed else max((s.ended or 0 for s in job.steps), default=0)


def score(day: DayProblem, seats: Seats) -> PlanScore:
    kept = [job for job in day.jobs if keeps(job, seats[job.id])]
    standing = {(p.job, p.step): p for p in day.standing}
    return PlanScore(
        kept=len(kept),
        guarded=sum(is_guarded(day, job, seats) for job in kept),
        worth=sum(job.worth for job in day.jobs if is_done(job, seats[job.id])),
        minus_ends_min=-sum(end_minute(job, seats[job.id]) for job in day.jobs),
        minus_risk_min=-sum(
            (1 - job.ready) * p.begin
            for job in day.jobs
            for p in seats[job.id]
            if job.steps[p.step].check and job.steps[p.step].began is None
        ),
        minus_moved=-sum(
            (before := standing.get((p.job, p.step))) is not None and before != p
            for placed in seats.values()
            for p in placed
        ),
    )


def _same_station(one: Placed, other: Placed) -> bool:
    return one.at == other.at and one.station == other.station
