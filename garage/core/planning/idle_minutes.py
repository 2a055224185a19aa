"""Bench work for minutes that the plan leaves idle: checks and repairs of machines that it has no room for today.

A machine that is left out can take a gap on the rollers only if it is checked: its check takes the best part of a gap.
Only a bench and a person that the plan leaves idle are used, so no step of the plan moves.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from garage.core.planning.day_problem import BENCH, DayProblem, Job, Placed
from garage.core.planning.placing import Floor, Resources, earliest, released
from garage.core.time.day_minutes import DAY_MIN

CLEAR_AFTER_MIN = 10  # left clear after such work, so that where it runs late it holds up little of the plan; no source


def for_idle_minutes(day: DayProblem, placed: Sequence[Placed]) -> tuple[Placed, ...]:
    """The next bench step of each machine that is here and not in the plan, surest first, as early as it fits.

    placed: the plan's steps, running ones included.

    >>> from garage.core.planning.day_problem import JobStep, Worker
    >>> left = Job("42", 480, (JobStep("bench", 20, check=True), JobStep("roller", 90)))
    >>> day = DayProblem("2027-03-10", 480, rollers=1, benches=1, people=(Worker("p1", 480, 600),), jobs=(left,))
    >>> [(one.job, one.begin, one.end) for one in for_idle_minutes(day, [])]
    [('42', 480, 500)]
    """
    floor = Floor(Resources(day))
    floor.hold_all(placed)
    found: list[Placed] = []
    for job in sorted(_left_out(day, placed), key=lambda job: (-job.ready, job.here_from)):
        one = _in_idle_minutes(floor, job)
        if one is not None:
            floor.hold(one)
            found.append(one)
    return tuple(found)


def _left_out(day: DayProblem, placed: Sequence[Placed]) -> list[Job]:
    """Machines with a bench step to come and no step in the plan."""
    planned = {one.job for one in placed}
    left = (job for job in day.jobs if job.open_count and job.id not in planned)
    return [job for job in left if job.steps[job.first_open].at == BENCH]


def _in_idle_minutes(floor: Floor, job: Job) -> Placed | None:
    index = job.first_open
    step = job.steps[index]
    longer = replace(step, minutes=step.minutes + CLEAR_AFTER_MIN)
    since = max(released(floor.resources.day, job), job.here_from)
    until = (DAY_MIN if job.gone_by is None else job.gone_by) - longer.minutes
    if step.pin.begin is not None:
        since, until = max(since, step.pin.begin), min(until, step.pin.begin)
    begin = earliest(floor.starts(longer), since, until)
    if begin is None:
        return None
    steps = (*job.steps[:index], longer, *job.steps[index + 1 :])
    seat = floor.seat(replace(job, steps=steps), index, begin)
    return None if seat is None else replace(seat, end=begin + step.minutes)
