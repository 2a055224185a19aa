"""A small day and its visits, seated by hand: for tests that say themselves where each step stands."""

from __future__ import annotations

from dataclasses import replace

from garage.core.planning.day_problem import DayProblem, Job, JobStep, Pin, Placed, Worker

GATE, ROLLERS = JobStep("bench", 10, check=True), JobStep("roller", 60)
PEOPLE = (Worker("p1", 480, 1020, ((750, 780),)), Worker("p2", 480, 1020, skills=frozenset({"bench"})))


def a_day(*jobs: Job, **changed: object) -> DayProblem:
    return replace(DayProblem("2027-03-10", 480, rollers=1, benches=2, people=PEOPLE, jobs=jobs), **changed)


def visit(number: str = "41", *steps: JobStep, **changed: object) -> Job:
    return replace(Job(number, 480, steps or (GATE, ROLLERS)), **changed)


def seated(job: Job, *begins: int, first: int = 0, by: str = "p1", station: int = 1) -> list[Placed]:
    """The steps of a job from the first, each at its minute."""
    steps = list(enumerate(job.steps))[first:]
    return [
        Placed(job.id, index, step.at, station, by, begin, begin + step.minutes)
        for (index, step), begin in zip(steps, begins, strict=False)
    ]


def pinned(at: str, minutes: int, **pin: object) -> JobStep:
    return JobStep(at, minutes, pin=Pin(**pin))


def a_dovetailed_day(*more: Job, **changed: object) -> DayProblem:
    """Roller 1 for two hours: 41 keeps its promise only between the two steps of 42."""
    people = (Worker("p1", 480, 600), Worker("p2", 480, 600))
    half, most = pinned("roller", 30, station=1), pinned("roller", 45, station=1)
    jobs = (
        Job("41", 480, (half,), gone_by=585, promised=520, worth=100),
        Job("42", 480, (most, most), gone_by=600, promised=480, worth=9000),
    )
    return a_day(*jobs, *more, **{"people": people} | changed)


def begins(placed: list[Placed]) -> list[tuple[int, int]]:
    return [(one.step, one.begin) for one in placed]
