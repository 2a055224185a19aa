"""Which times of a day can still be sold without breaking a promise.

A time is free if the job can be added while every other job that could be done is still placed and every promise that
could be kept is still kept, the new one included. It may cost clear minutes before a promise, but not where the plan,
to which they matter more than work without a promise, would leave out a job for them. Every answer is exact, but for a
no where the solver's work was used up. For a roller visit, the time sold is the start on the rollers (Job.promised).
For a bench visit, it is the start at the bench (pin.begin of its first step).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import count
from typing import Any, Protocol, TypeVar

from garage.core.planning.crowded import certain_on_the_rollers
from garage.core.planning.day_problem import BENCH, ROLLER, DayProblem, Job, JobStep, Placed
from garage.core.planning.day_rules import ARRIVE_BEFORE_MIN
from garage.core.planning.duties import clear, could_be_clear, duties, duties_met, fit_all, hold
from garage.core.planning.placing import Floor, Resources, chain, span
from garage.core.planning.plan_score import Seats, promised_begin
from garage.core.planning.planner import by_order, orders, plan, seat_running
from garage.core.time.day_minutes import DAY_MIN

GRID_MIN = 15  # minutes between the times offered; common practice, no source
GATE_MIN = 10  # minutes of the readiness check; the manual of `plan`
BEST_LIMIT_S = 1.0  # of the planner, for a day that cannot do everything: most take 0.1 s, measured
LEVELS_KEPT = 3  # of the plan's levels: promises, clear minutes, worth


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
    """A day prepared for many questions: its duties, and full floors that meet them all.

    On a day that cannot do everything any more, the duties are what its best plan does: a promise broken already stops
    only a sale that would make it worse.
    """

    def __init__(self, day: DayProblem) -> None:
        self.day = day
        taken = {job.id for job in day.jobs}
        self.new_id = next(name for n in count() if (name := f"wanted {n}") not in taken)
        self.running = seat_running(day)
        self.empty = self._floor(())
        self.duties = duties(self.empty, day.jobs)
        found = self._by_simple_orders()
        if found is None:
            found = fit_all(self.empty, self.running, self.duties)
        if found is None and (found := self._at_its_best()):
            self.duties = duties_met(self.empty, day.jobs, found)
        self.clear_count = 0 if found is None else len(clear(day, self.duties, found))
        self.full = [] if found is None else [self._filled(found)]

    def begins_on_time(self, job: Job) -> bool:
        """Whether the job could begin on the minute in an otherwise empty day. No time offered may be late already."""
        placed = chain(self.empty, job, in_window=True)
        return len(placed) == job.open_count and promised_begin(job, placed) == job.promised

    def takes(self, job: Job) -> bool:
        """Tries to fit the job into a known plan, then whether it fits at all, then asks for a plan with everything.

        With clear minutes where it could have any: no plan of the day with it has more than such a known plan then.
        """
        wanted = next(iter(duties(self.empty, [job])), None)
        if not self.full or wanted is None or (job.promised is not None and not wanted.in_window):
            return False
        is_clear = could_be_clear(self.empty, wanted)
        if any(len(chain(floor, job, wanted.in_window, is_clear)) == job.open_count for floor in self.full):
            return True
        if self._is_crowded(job):
            return False
        day = replace(self.day, jobs=(*self.day.jobs, job))
        empty = Floor(Resources(day))
        empty.hold_all(self.running)
        found = fit_all(empty, self.running, (*self.duties, wanted))
        if found is not None and len(clear(self.day, self.duties, found)) == self.clear_count:
            self.full.insert(0, self._filled(found))
        return found is not None

    def _floor(self, placed: Iterable[Placed]) -> Floor:
        floor = Floor(Resources(self.day))
        floor.hold_all(self.running)
        floor.hold_all(placed)
        return floor

    def _filled(self, seats: Seats) -> Floor:
        """With all that the duties ask for, and the minutes that are clear before promises."""
        floor = self._floor(one for duty in self.duties for one in seats[duty.job.id])
        for duty in clear(self.day, self.duties, seats):
            promised = duty.job.promised or 0
            at = next(one for one in seats[duty.job.id] if one.step == duty.job.first_roller)
            floor.hold(replace(at, begin=max(0, promised - self.day.guard), end=promised))
        return floor

    def _by_simple_orders(self) -> Seats | None:
        """A filled day that meets all duties, all clear minutes that could be had included, if simple orders do."""
        jobs = tuple(duty.job for duty in self.duties)
        most_clear = sum(could_be_clear(self.empty, duty) for duty in self.duties)
        for order in orders(replace(self.day, jobs=jobs)):
            seats: Seats = {job.id: [] for job in self.day.jobs}
            for one in self.running:
                seats[one.job].append(one)
            for job, placed in by_order(self.empty, order, guarded=most_clear > 0).items():
                seats[job] = seats[job] + placed
            if hold(self.duties, seats) and len(clear(self.day, self.duties, seats)) >= most_clear:
                return seats
        return None

    def _at_its_best(self) -> Seats | None:
        """By the planner. None if promises, clear minutes and worth are not proved: then nothing is sold that day.

        What is worth nothing, as a time that is only held, is worth keeping too.
        """
        jobs = tuple(replace(job, worth=max(job.worth, 1)) for job in self.day.jobs)
        made = plan(replace(self.day, jobs=jobs, limit_s=BEST_LIMIT_S))
        seats: Seats = {job.id: [] for job in jobs}
        for one in sorted(made.placed, key=lambda one: one.step):
            seats[one.job].append(one)
        return seats if made.proved >= LEVELS_KEPT else None

    def _is_crowded(self, job: Job) -> bool:
        """Whether the promises are certain to need more roller minutes than there are: a certain no."""
        certain = [bits for duty in self.duties if duty.in_window and (bits := _certain(duty.job))]
        mine = _certain(job)
        return _deepest([bits & mine for bits in certain]) >= self.day.rollers if mine else False


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
