"""Days drawn for the planner's figures: every number a multiple of five minutes, so that a grid of five decides them.

One or two rollers, one to three benches, one to four people (part-timers, breaks, not everybody on the rollers), one to
twelve jobs (promises, late arrivals, a time to be gone by, fixed steps), quiet times, guard 0 to 30. Every third day is
asked again in the middle of it: what was planned has begun, overran, failed its check; one more machine has come.
"""

from __future__ import annotations

from dataclasses import replace
from random import Random

from garage.core.planning.day_problem import DayProblem, Job, JobStep, Pin, Placed, Worker
from garage.core.planning.planner import plan

BOTH, BENCH = frozenset({"bench", "roller"}), frozenset({"bench"})
GRID_MIN = 5


def drawn_day(seed: int, jobs: int | None = None) -> DayProblem:
    chance = Random(f"day {seed}")
    people = tuple(_person(chance, n) for n in range(1, 1 + chance.choice((1, 2, 2, 3, 3, 4))))
    day = DayProblem(
        day="2027-03-10",
        now=480,
        rollers=chance.choice((1, 1, 1, 2)),
        benches=chance.choice((1, 2, 2, 3)),
        people=people,
        jobs=tuple(_job(chance, str(40 + n), people) for n in range(jobs or chance.randint(1, 12))),
        guard=chance.choice((0, 10, 10, 15, 20, 30)),
        quiet_rollers=chance.choice(((), (), ((750, 810),), ((480, 510), (720, 780)))),
    )
    return _at_midday(chance, day) if seed % 3 == 2 else day


def _person(chance: Random, n: int) -> Worker:
    begin, end = chance.choice(((480, 1020), (480, 1020), (480, 960), (510, 1080), (480, 780), (720, 1080)))
    breaks = chance.choice((((750, 780),), ((720, 750),), ((600, 615), (780, 810)), ()))
    return Worker(f"p{n}", begin, end, breaks, BOTH if n == 1 else chance.choice((BOTH, BOTH, BENCH)))


def _job(chance: Random, number: str, people: tuple[Worker, ...]) -> Job:
    here = chance.choice((480, 480, chance.randrange(480, 780, 5), chance.randrange(480, 960, 15)))
    ready, worth = chance.randint(30, 100) / 100, 500 * chance.randint(4, 30)
    check, rollers = JobStep("bench", chance.choice((10, 10, 15)), check=True), JobStep("roller", _length(chance))
    kind = chance.random()
    if kind < 0.5:
        promised = here + 5 * chance.randrange(4, 20)
        return Job(number, here, (check, rollers), None, promised, worth, ready)
    if kind < 0.7:
        return Job(number, here, (JobStep("bench", _length(chance)), check, rollers), None, None, worth, ready)
    gone_by = chance.choice((None, None, min(1440, here + chance.randrange(120, 480, 5))))
    if kind < 0.85:
        steps = (check, rollers, JobStep("bench", chance.choice((15, 30))))
        return Job(number, here, steps, gone_by, None, worth, ready)
    pin = Pin()
    if chance.random() < 0.3:
        pin = chance.choice((Pin(by=people[0].id), Pin(station=1), Pin(begin=here + 5 * chance.randrange(12))))
    return Job(number, here, (JobStep("bench", _length(chance), pin=pin),), gone_by, None, worth)


def _length(chance: Random) -> int:
    return chance.choice((30, 45, 60, 60, 75, 90, 120))


def _at_midday(chance: Random, day: DayProblem) -> DayProblem:
    """The day as it stands after some hours of its own plan."""
    standing = plan(replace(day, limit_s=0.0)).placed
    now = chance.randrange(540, 840, 5)
    jobs = [_gone_on(chance, job, standing, now) for job in day.jobs]
    late = replace(_job(chance, "90", day.people), here_from=now)
    if late.promised is not None:
        late = replace(late, promised=now + 5 * chance.randrange(4, 30))
    return replace(day, now=now, jobs=(*jobs, late), standing=standing)


def _gone_on(chance: Random, job: Job, standing: tuple[Placed, ...], now: int) -> Job:
    at, steps = {p.step: p for p in standing if p.job == job.id}, list(job.steps)
    for index, step in enumerate(steps):
        placed = at.get(index)
        before = steps[index - 1].ended if index else 0
        if placed is None or before is None or (began := max(before, placed.begin)) > now:
            break
        over = began + step.minutes + chance.choice((0, 0, 5, 15))
        begun = replace(step, began=began, by=placed.by, ended=over if over <= now else None)
        steps[index] = replace(begun, pin=Pin())
        if begun.ended is None:
            break
        if step.check and chance.random() > job.ready:
            return replace(job, steps=(*steps[: index + 1], JobStep("bench", 45)))
    return replace(job, steps=tuple(steps))
