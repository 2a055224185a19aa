"""Which times of a day can still be sold without breaking a promise.

A time is free if the job can be added while every other job that could be done is still placed and every promise that
could be kept is still kept, the new one included. Every yes is backed by such a plan. A no may be wrong when the
bounded search gave up (the tests count how often). For a roller visit, the time sold is the start on the rollers
(Job.promised). For a bench visit, it is the start at the bench (pin.begin of its first step).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import count
from typing import Any, Protocol, TypeVar

from garage.core.planning.crowded import certain_on_the_rollers
from garage.core.planning.day_problem import BENCH, ROLLER, DayProblem, Job, JobStep, Placed
from garage.core.planning.day_rules import ARRIVE_BEFORE_MIN
from garage.core.planning.day_search import Duty, fit_all
from garage.core.planning.placing import Floor, Resources, chain, span
from garage.core.planning.plan_score import Seats, promised_begin
from garage.core.planning.planner import Duties, by_order, duties, holds, orders, seat_running
from garage.core.time.day_minutes import DAY_MIN

GRID_MIN = 15  # minutes between the times offered; common practice, no source
GATE_MIN = 10  # minutes of the readiness check; the manual of `plan`
NODES_A_TIME = 60  # search nodes for one time


class _Time(Protocol):
    """A minute or a datetime: anything that can be compared and subtracted."""

    def __lt__(self, other: Any, /) -> bool: ...
    def __sub__(self, other: Any, /) -> Any: ...


TimeT = TypeVar("TimeT", bound=_Time)


@dataclass(frozen=True, slots=True)
class Wanted:
    """A visit that somebody would like to book. gone_by: minute of the day. worth: pence. ready: 0 to 1."""

    steps: tuple[JobStep, ...]
    arrive_before_min: int = ARRIVE_BEFORE_MIN
    gone_by: int | None = None
    worth: int = 0
    ready: float = 1.0

    @property
    def roller_min(self) -> int:
        """Minutes on the rollers in all, strapping down included. 0 for bench work."""
        return sum(step.minutes for step in self.steps if step.at == ROLLER)


def roller_visit(
    roller_min: int,
    gate_min: int = GATE_MIN,
    arrive_before_min: int = ARRIVE_BEFORE_MIN,
    bench_before_min: int = 0,
    strap_min: int = 0,
) -> Wanted:
    """The gate at the bench, bench work if there is any, then the rollers, strapping down included.

    >>> [(s.at, s.minutes, s.check) for s in roller_visit(90, gate_min=20, strap_min=5).steps]
    [('bench', 20, True), ('roller', 95, False)]
    """
    bench = (JobStep("bench", bench_before_min),) if bench_before_min else ()
    steps = (JobStep("bench", gate_min, check=True), *bench, JobStep("roller", strap_min + roller_min))
    return Wanted(steps, arrive_before_min=arrive_before_min + bench_before_min)


def bench_visit(bench_min: int) -> Wanted:
    """Bench work only. The time sold is its start."""
    return Wanted((JobStep("bench", bench_min),), arrive_before_min=0)


def new_visit(at: str, minutes: int, gate_min: int, strap_min: int) -> Wanted:
    """What a new booking for the rollers or the bench needs of the day."""
    return roller_visit(minutes, gate_min=gate_min, strap_min=strap_min) if at == ROLLER else bench_visit(minutes)


def known_visit(
    at: str, minutes: int, gate_min: int, strap_min: int, *, has_passed_gate: bool, is_here: bool
) -> Wanted:
    """What a new time for an existing visit needs: no second gate, and no arrival when the machine is already here.
    gate_min: 0 where its part at the bench is passed and only the straps are to come.

    >>> asked = known_visit("roller", 90, 20, 5, has_passed_gate=True, is_here=True)
    >>> [(step.at, step.minutes) for step in asked.steps], asked.arrive_before_min
    ([('roller', 90)], 1440)
    """
    if at == BENCH:
        return bench_visit(minutes)
    gate = () if has_passed_gate or not gate_min else (JobStep(BENCH, gate_min, check=True),)
    roller_min = minutes if has_passed_gate else strap_min + minutes
    return Wanted((*gate, JobStep(ROLLER, roller_min)), arrive_before_min=DAY_MIN if is_here else ARRIVE_BEFORE_MIN)


def job_at(wanted: Wanted, time: int, id: str = "wanted") -> Job:  # noqa: A002  the name of the field in Job
    """The job as it will be in the day once this time is sold.

    >>> job_at(roller_visit(90), 600).promised, job_at(bench_visit(60), 600).steps[0].pin.begin
    (600, 600)
    """
    steps, promised = wanted.steps, None
    if any(step.at == "roller" for step in steps):
        promised = time
    else:
        steps = (replace(steps[0], pin=replace(steps[0].pin, begin=time)), *steps[1:])
    return Job(
        id=id,
        here_from=max(0, time - wanted.arrive_before_min),
        steps=steps,
        gone_by=wanted.gone_by,
        promised=promised,
        worth=wanted.worth,
        ready=wanted.ready,
    )


def possible(day: DayProblem, job: Job) -> bool:
    """Whether the job may be added to the day. A job with an id that is already in the day replaces that job."""
    others = tuple(one for one in day.jobs if one.id != job.id)
    return _Seller(replace(day, jobs=others)).takes(job)


def free_times(day: DayProblem, wanted: Wanted, candidates: Iterable[int] | None = None) -> list[int]:
    """The minutes, in order, at which the visit may be sold. Default: a grid over the people's hours from now.

    >>> from garage.core.planning.day_problem import Worker
    >>> day = DayProblem("2027-03-10", 540, rollers=1, benches=1, people=(Worker("p1", 540, 720),), jobs=())
    >>> free_times(day, roller_visit(90))
    [555, 570, 585, 600, 615, 630]
    """
    if candidates is None:
        since = min((person.begin for person in day.people), default=0)
        candidates = grid(max(since, day.now), max((person.end for person in day.people), default=0))
    times = sorted(set(candidates))
    seller = _Seller(day)
    jobs = [(time, job_at(wanted, time, id=seller.new_id)) for time in times]
    return [time for time, job in jobs if seller.begins_on_time(job) and seller.takes(job)]


def grid(begin: int, end: int, step_min: int = GRID_MIN) -> list[int]:
    """The quarters of an hour (or other pieces) from begin up to end, exclusive, counted from midnight.

    >>> grid(545, 600)
    [555, 570, 585]
    """
    return list(range(-(-begin // step_min) * step_min, min(end, DAY_MIN), step_min))


def nearest(times: Sequence[TimeT], wanted: TimeT, count: int = 3) -> list[TimeT]:
    """The times nearest to the wanted one, in order of time. On a tie the earlier one is taken.

    >>> nearest([540, 600, 660, 900], wanted=630, count=2)
    [600, 660]
    """

    def distance(time: TimeT) -> tuple[Any, TimeT]:
        return (wanted - time if time < wanted else time - wanted), time

    return sorted(sorted(times, key=distance)[:count])


class _Seller:
    """A day prepared for many questions: its duties, and the full floors that meet them."""

    def __init__(self, day: DayProblem) -> None:
        self.day = day
        taken = {job.id for job in day.jobs}
        self.new_id = next(name for n in count() if (name := f"wanted {n}") not in taken)
        self.running = seat_running(day)
        self.empty = self._floor(())
        self.duties = duties(self.empty, day.jobs)
        self.full: list[Floor] = []
        found = self._fill(day, self.empty, self.duties, NODES_A_TIME * 10)
        if found is not None:
            self.full.append(self._floor(found))

    def begins_on_time(self, job: Job) -> bool:
        """Whether the job could begin on the minute in an otherwise empty day. No time offered may be late already."""
        placed = chain(self.empty, job, in_window=True)
        return len(placed) == job.open_count and promised_begin(job, placed) == job.promised

    def takes(self, job: Job) -> bool:
        """Tries to fit the job into a known plan, then checks that it fits at all, then searches for another plan."""
        if not self.full:
            return False
        if any(_fits(floor, job) for floor in self.full):
            return True
        if not _fits(self.empty, job) or self._is_crowded(job):
            return False
        day = replace(self.day, jobs=(*self.day.jobs, job))
        empty = Floor(Resources(day))
        empty.hold_all(self.running)
        asked = Duties((*self.duties.all, Duty(job, in_window=job.promised is not None)))
        found = self._fill(day, empty, asked, NODES_A_TIME)
        if found is None:
            return False
        self.full.insert(0, self._floor(p for p in found if p.job != job.id))
        return True

    def _floor(self, placed: Iterable[Placed]) -> Floor:
        floor = Floor(Resources(self.day))
        floor.hold_all(self.running)
        floor.hold_all(placed)
        return floor

    def _fill(self, day: DayProblem, empty: Floor, asked: Duties, nodes: int) -> list[Placed] | None:
        """The open steps of a day that meets all duties, if one is found."""
        jobs = tuple(duty.job for duty in asked.all)
        for order in orders(replace(day, jobs=jobs)):
            seats = by_order(empty, order, guarded=False)
            beside: Seats = {one.job: [] for one in self.running} | {job: list(placed) for job, placed in seats.items()}
            for one in self.running:
                beside[one.job].insert(0, one)
            if holds(asked, beside):
                return [p for placed in seats.values() for p in placed]
        found = fit_all(empty, asked.all, nodes)
        return None if found is None else [p for placed in found.values() for p in placed]

    def _is_crowded(self, job: Job) -> bool:
        """Whether the promises are certain to need more roller minutes than there are: a certain no."""
        certain = [bits for duty in self.duties.promised if (bits := _certain(duty.job))]
        mine = _certain(job)
        return _deepest([bits & mine for bits in certain]) >= self.day.rollers if mine else False


def _fits(floor: Floor, job: Job) -> bool:
    return len(chain(floor, job, in_window=job.promised is not None)) == job.open_count


def _certain(job: Job) -> int:
    """The minutes in which a promised job is certainly on the rollers, as bits."""
    minutes = certain_on_the_rollers(job)
    return span(minutes.start, minutes.stop)


def _deepest(layers: Sequence[int]) -> int:
    """The greatest number of bit sets that share one minute.

    >>> _deepest([0b0110, 0b0011, 0b1000])
    2
    """
    at_least: list[int] = []  # at_least[k]: minutes that lie in more than k of the sets
    for bits in layers:
        for depth, seen in enumerate(at_least):
            at_least[depth], bits = seen | bits, seen & bits
        at_least.append(bits)
    return sum(1 for seen in at_least if seen)
