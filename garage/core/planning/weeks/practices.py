"""The practices that are compared. All do the same work in the same real minutes; only the order is theirs."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from enum import Enum

from garage.core.planning.day_problem import BENCH, ROLLER, DayProblem, Job, JobStep, Placed
from garage.core.planning.idle_minutes import for_idle_minutes
from garage.core.planning.placing import Floor, Resources
from garage.core.planning.planner import by_order, orders, plan, seat_running
from garage.core.planning.weeks.day_run import DayRun, RollerStay, run_replanned
from garage.core.planning.weeks.drawn_weeks import DrawnDay, DrawnMachine

FOUND_AFTER_MIN = 15  # on the rollers until it shows that the machine is not ready; no source
LATEST_MIN = 1440


class Practice(Enum):
    """In the order of the table."""

    AS_BOOKED = "as booked"
    EARLIEST_FIT = "earliest fit"
    PLANNED = "this planner"
    FORESEEN = "knows the future"


@dataclass(frozen=True, slots=True)
class Policy:
    """How this product plans a day. guard_min: clear before a promise, as in the shop.

    idle_work: people who would be idle check what is left out. room: share of its planned minutes that is kept free
    behind a session without a promise, so that it runs into the next promise less often. limit_s: of one plan, so long
    that the clock ends none and the same weeks give the same figures on any machine.
    """

    guard_min: int = 10
    idle_work: bool = True
    room: float = 0.0
    limit_s: float = 20.0

    def replanned(self, problem: DayProblem) -> tuple[Placed, ...]:
        asked = replace(with_room(problem, self.room), limit_s=self.limit_s)
        placed = plan(asked).placed
        return (*placed, *for_idle_minutes(asked, placed)) if self.idle_work else placed


def run_under(practice: Practice, day: DrawnDay, policy: Policy) -> DayRun:
    runs: Mapping[Practice, Callable[[], DayRun]] = {
        Practice.AS_BOOKED: lambda: run_as_booked(day),
        Practice.EARLIEST_FIT: lambda: run_replanned(day, earliest_fit, guard_min=0),
        Practice.PLANNED: lambda: run_replanned(day, policy.replanned, policy.guard_min),
        Practice.FORESEEN: lambda: run_foreseen(day),
    }
    return runs[practice]()


def with_room(problem: DayProblem, room: float) -> DayProblem:
    """The same day with longer sessions of machines without a promise, as far as they have not begun."""
    return replace(problem, jobs=tuple(_with_room(job, room) for job in problem.jobs)) if room else problem


def _with_room(job: Job, room: float) -> Job:
    if job.promised is not None:
        return job
    steps = (
        replace(step, minutes=round(step.minutes * (1 + room))) if step.at == ROLLER and step.began is None else step
        for step in job.steps
    )
    return replace(job, steps=tuple(steps))


def earliest_fit(problem: DayProblem) -> tuple[Placed, ...]:
    """Jobs in booked order of time, each as early as possible, promised ones at their time."""
    running = seat_running(problem)
    floor = Floor(Resources(problem))
    floor.hold_all(running)
    seats = by_order(floor, next(orders(problem)), guarded=False)
    return (*running, *(placed for steps in seats.values() for placed in steps))


def run_as_booked(day: DrawnDay) -> DayRun:
    """Today's practice: no early check, each machine at its slot or as soon after as it can, a bad one's slot lost."""
    shop = day.workshop
    machines = {one.id: one for one in day.machines}
    jobs = tuple(
        Job(one.id, one.here_from, (JobStep(ROLLER, one.roller_min),), None, one.promised, one.worth_pence)
        for one in day.machines
    )
    stays, free = [], dict.fromkeys(range(1, shop.rollers + 1), shop.opens)
    slots = earliest_fit(replace(day.empty, jobs=jobs))
    for slot in sorted(slots, key=lambda placed: (placed.begin, placed.station)):
        one = machines[slot.job]
        begin = max(slot.begin, free[slot.station])
        if not one.comes or begin + one.roller_min > shop.closes:
            continue
        end = begin + (one.real.roller if one.is_ready else FOUND_AFTER_MIN)
        stays.append(RollerStay(one.id, slot.station, begin, end, is_lost=not one.is_ready))
        free[slot.station] = end
    return DayRun(day, tuple(stays), plans=1)


def run_foreseen(day: DrawnDay) -> DayRun:
    """By a planner that knows who comes, which machine is ready and every real minute.

    What is not ready is fixed before its check. Sessions may overrun the closing time by as much as in the other
    practices: by their real minutes beyond the planned ones. A promise to a machine that is not ready binds nobody.
    """
    people = tuple(replace(person, end=LATEST_MIN) for person in day.workshop.people)
    jobs = tuple(_foreseen_job(one, day.workshop.closes) for one in day.machines if one.comes)
    made = plan(replace(day.empty, people=people, jobs=jobs, limit_s=Policy().limit_s))
    stays = tuple(RollerStay(p.job, p.station, p.begin, p.end) for p in made.placed if p.at == ROLLER)
    return DayRun(day, stays, plans=1)


def _foreseen_job(one: DrawnMachine, closes: int) -> Job:
    work = (JobStep(BENCH, one.real.check, check=True), JobStep(ROLLER, one.real.roller))
    return Job(
        one.id,
        one.here_from,
        steps=work if one.is_ready else (JobStep(BENCH, one.real.fix), *work),
        gone_by=closes + max(0, one.real.roller - one.roller_min),
        promised=one.promised if one.can_be_kept else None,
        worth=one.worth_pence,
    )
