"""A quick check that spares the planner certain refusals: in some minute the job needs a person and none is spare."""

from __future__ import annotations

from garage.core.planning.day_problem import PROMISE_WINDOW_MIN, DayProblem, Job, Worker
from garage.core.time.day_minutes import DAY_MIN


def spare_people(day: DayProblem) -> list[int]:
    """For each minute of the day, people at work less jobs certain to need one then, wherever in their window they
    begin.

    Only promised roller steps and steps pinned to a minute count, since everything else can move. On a day whose
    promises can't all be kept the count may be too low. A no may then be wrong but never a yes, because the planner
    checks each yes.

    >>> spare = spare_people(DayProblem("2027-03-10", 0, 1, 1, (Worker("p1", 480, 600, ((500, 510),)),), ()))
    >>> spare[479], spare[480], spare[505], spare[599], spare[600]
    (0, 1, 0, 1, 0)
    """
    spare = [0] * DAY_MIN
    for person in day.people:
        for minute in _at_work(person):
            spare[minute] += 1
    for job in day.jobs:
        for minute in certain_minutes(job):
            spare[minute] -= 1
    return spare


def is_surely_full(spare: list[int], job: Job) -> bool:
    """Whether the job needs a person in a minute in which none is spare."""
    return any(spare[minute] <= 0 for minute in certain_minutes(job))


def certain_minutes(job: Job) -> range:
    """The minutes in which the job certainly needs a person: its promised roller step, or its pinned next step.

    >>> from garage.core.planning.day_problem import JobStep
    >>> certain_minutes(Job("41", 570, (JobStep("bench", 10), JobStep("roller", 90)), promised=600))
    range(615, 690)
    """
    if job.has_open_promise:
        return certain_on_the_rollers(job)
    step = job.steps[job.first_open] if job.open_count else None
    if step is None or step.pin.begin is None:
        return range(0)
    return _within(step.pin.begin, step.pin.begin + step.minutes)


def certain_on_the_rollers(job: Job) -> range:
    """The minutes a promised job is on the rollers wherever in its window it begins. Empty once it has begun."""
    roller = job.first_roller
    if job.promised is None or roller is None or roller < job.first_open:
        return range(0)
    return _within(job.promised + PROMISE_WINDOW_MIN, job.promised + job.steps[roller].minutes)


def _within(begin: int, end: int) -> range:
    return range(min(begin, DAY_MIN), min(end, DAY_MIN))


def _at_work(person: Worker) -> list[int]:
    """The minutes of a person's hours outside breaks."""
    hours = _within(person.begin, person.end)
    return [minute for minute in hours if not any(begin <= minute < end for begin, end in person.breaks)]
