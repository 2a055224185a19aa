"""Random days for the planner's tests: whole ones, some under way, and tiny ones to enumerate."""

from __future__ import annotations

from random import Random

from garage.core.planning.day_problem import DayProblem, Job, JobStep, Pin, Placed, Worker

BOTH, BENCH = frozenset({"bench", "roller"}), frozenset({"bench"})


def whole_day(seed: int, jobs: int = 10, now: int = 480) -> DayProblem:
    """A day of a small garage: one or two rollers, two benches, two or three people, promises on the quarter hour."""
    chance = Random(seed)
    people = tuple(
        Worker(
            f"p{n}",
            480,
            chance.choice((960, 1020, 1080)),
            ((750, 780),),
            BOTH if n == 1 else chance.choice((BOTH, BENCH)),
        )
        for n in range(1, chance.choice((3, 4)))
    )
    return DayProblem(
        day="2027-03-10",
        now=now,
        rollers=chance.choice((1, 1, 2)),
        benches=2,
        people=people,
        jobs=tuple(_visit(chance, str(40 + n)) for n in range(jobs)),
        guard=chance.choice((0, 10)),
        quiet_rollers=chance.choice(((), ((750, 810),))),
    )


def _visit(chance: Random, number: str) -> Job:
    kind = chance.random()
    here = chance.randrange(480, 900, 15)
    check = JobStep("bench", 10, check=True)
    if kind < 0.5:
        promised = here + 30
        return Job(
            number, here, (check, JobStep("roller", chance.choice((45, 60, 90)))), None, promised, 9000, chance.random()
        )
    if kind < 0.75:
        steps = (JobStep("bench", chance.choice((30, 50, 120))), check, JobStep("roller", 45))
        return Job(number, here, steps, None, None, 12000, chance.random())
    return Job(number, here, (JobStep("bench", chance.choice((30, 60, 90))),), here + 240, None, 5000)


def running_day(seed: int) -> DayProblem:
    """A day at a quarter past eleven: steps over, running, overrun, fixed by hand, and a standing plan."""
    chance = Random(seed)
    base, now = whole_day(seed, jobs=8), 675
    ids = [person.id for person in base.people]
    jobs = []
    for job in base.jobs:
        steps, at = list(job.steps), max(480, job.here_from)
        for index, step in enumerate(steps):
            if chance.random() < 0.5 or at > now:
                break
            is_over = at + step.minutes <= now and chance.random() < 0.8
            steps[index] = JobStep(
                step.at, step.minutes, step.check, at, chance.choice(ids), at + step.minutes if is_over else None
            )
            at += step.minutes
            if not is_over:
                break
        last = steps[-1]
        if last.began is None and chance.random() < 0.3:
            begin = chance.choice((None, chance.randrange(600, 960, 5)))
            pin = Pin(chance.choice((None, 1, 2)), chance.choice((None, chance.choice(ids))), begin)
            steps[-1] = JobStep(last.at, last.minutes, last.check, pin=pin)
        jobs.append(Job(job.id, job.here_from, tuple(steps), job.gone_by, job.promised, job.worth, job.ready))
    standing = tuple(
        Placed(job.id, i, s.at, 1, ids[0], 700, 700 + s.minutes)
        for job in jobs
        for i, s in enumerate(job.steps)
        if s.began is None
    )
    return DayProblem(
        base.day, now, base.rollers, 2, base.people, tuple(jobs), base.guard, 1.0, base.quiet_rollers, standing
    )


def tiny_day(seed: int, jobs: int = 3) -> DayProblem:
    """Two and a half hours in quarters, tight: small enough to try everything."""
    chance = Random(seed)
    people = tuple(
        Worker(
            f"p{n}",
            480 + 15 * chance.randrange(2),
            630,
            chance.choice(((), ((540, 555),))),
            chance.choice((BOTH, BOTH, BENCH)) if n > 1 else BOTH,
        )
        for n in range(1, chance.choice((2, 3)))
    )
    made = []
    for n in range(jobs):
        here = 480 + 15 * chance.randrange(5)
        check, work = JobStep("bench", 15, check=True), JobStep("roller", 15 * chance.randrange(1, 4))
        steps = chance.choice(((check, work), (check, work), (work,), (JobStep("bench", 15 * chance.randrange(1, 5)),)))
        promised = 480 + 15 * chance.randrange(1, 8) if steps[-1].at == "roller" and chance.random() < 0.8 else None
        made.append(Job(str(n), here, steps, chance.choice((None, None, 600)), promised, 1000 * chance.randrange(1, 9)))
    quiet = chance.choice(((), (), ((555, 570),)))
    return DayProblem(
        "2027-03-10", 480, chance.choice((1, 1, 2)), chance.choice((1, 2)), people, tuple(made), 0, 2.0, quiet
    )
