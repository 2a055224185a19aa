"""Where the steps of one job fit in a partly filled day.

The minutes of a day are the bits of one integer: bit t is set if minute t is free. A few shifts give every start at
which a step of m minutes fits, so placing a whole chain of steps takes microseconds.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

from garage.core.planning.day_problem import PROMISE_WINDOW_MIN, DayProblem, Job, JobStep, Placed
from garage.core.time.day_minutes import DAY_MIN

StationKey = tuple[str, int]


def span(begin: int, end: int) -> int:
    """Bits begin … end - 1, or none if end is not after begin.

    >>> bin(span(2, 5))
    '0b11100'
    """
    return ((1 << (end - begin)) - 1) << begin if end > begin else 0


@lru_cache(maxsize=8192)
def beginnings(free: int, minutes: int) -> int:
    """The bits t for which minutes t … t + minutes - 1 are all free. minutes ≥ 1.

    >>> bin(beginnings(0b1110111, 3))
    '0b10001'
    """
    width = 1
    while width * 2 <= minutes:
        free &= free >> width
        width *= 2
    return free & (free >> (minutes - width)) if width < minutes else free


def earliest(bits: int, lower: int, upper: int) -> int | None:
    """The lowest set bit in lower … upper, inclusive.

    >>> earliest(0b101000, lower=4, upper=9), earliest(0b101000, lower=6, upper=9)
    (5, None)
    """
    rest = bits >> lower
    if not rest:
        return None
    found = lower + (rest & -rest).bit_length() - 1
    return found if found <= upper else None


class Resources:
    """What stays fixed while a day is filled: hours, skills, stations, quiet times and preferences."""

    def __init__(self, day: DayProblem) -> None:
        self.day = day
        self.open = {p.id: span(p.begin, p.end) & ~_all(p.breaks) for p in day.people}
        self.whole_day = span(0, DAY_MIN)
        self.quiet = {"bench": 0, "roller": _all(day.quiet_rollers)}
        self.skills = {p.id: p.skills for p in day.people}
        by_skills = sorted(day.people, key=lambda p: len(p.skills))  # people with fewer skills come first
        self.able = {kind: tuple(p.id for p in by_skills if kind in p.skills) for kind in ("bench", "roller")}
        pinned = {(s.at, s.pin.station) for job in day.jobs for s in job.steps if s.pin.station is not None}
        self.stations: dict[str, tuple[int, ...]] = {
            kind: tuple(sorted(range(1, day.stations(kind) + 1), key=lambda n: ((kind, n) in pinned, n)))
            for kind in ("bench", "roller")
        }
        self.named = {s.pin.by for job in day.jobs for s in job.steps if s.pin.by is not None}
        self.standing = {(p.job, p.step): p for p in day.standing}

    def people_for(self, step: JobStep) -> tuple[str, ...]:
        able = self.able[step.at]
        return able if step.pin.by is None else tuple(p for p in able if p == step.pin.by)

    def stations_for(self, step: JobStep) -> tuple[int, ...]:
        all_of_kind = self.stations[step.at]
        return all_of_kind if step.pin.station is None else tuple(n for n in all_of_kind if n == step.pin.station)


class Floor:
    """The minutes already taken for each person and station."""

    __slots__ = ("resources", "taken", "work")

    def __init__(self, resources: Resources) -> None:
        self.resources = resources
        self.work: dict[str, int] = dict.fromkeys(resources.open, 0)
        self.taken: dict[StationKey, int] = {
            (kind, number): 0 for kind in ("bench", "roller") for number in resources.stations[kind]
        }

    def copy(self) -> Floor:
        twin = Floor.__new__(Floor)
        twin.resources, twin.work, twin.taken = self.resources, dict(self.work), dict(self.taken)
        return twin

    def hold(self, placed: Placed, before: int = 0) -> None:
        """Takes the minutes of a step and the `before` minutes ahead of it."""
        bits = span(max(0, placed.begin - before), placed.end)
        self.work[placed.by] = self.work.get(placed.by, 0) | bits
        station = (placed.at, placed.station)
        self.taken[station] = self.taken.get(station, 0) | bits

    def hold_all(self, placed: Iterable[Placed]) -> None:
        for one in placed:
            self.hold(one)

    def person_starts(self, person: str, minutes: int) -> int:
        return beginnings(self.resources.open[person] & ~self.work[person], minutes)

    def station_starts(self, at: str, number: int, minutes: int) -> int:
        return beginnings(self.resources.whole_day & ~(self.taken[at, number] | self.resources.quiet[at]), minutes)

    def starts(self, step: JobStep, clear: int = 0) -> int:
        """Every minute at which a skilled person and a station are both free, without work in the `clear` bits."""
        people = 0
        for person in self.resources.people_for(step):
            if not self.work[person] & clear:
                people |= self.person_starts(person, step.minutes)
        if not people:
            return 0
        stations = 0
        for number in self.resources.stations_for(step):
            if not self.taken[step.at, number] & clear:
                stations |= self.station_starts(step.at, number, step.minutes)
        return people & stations

    def seat(self, job: Job, index: int, begin: int, clear: int = 0, by: str | None = None) -> Placed | None:
        """The step at this minute with the preferred person and station, those of the standing plan first."""
        step, bit = job.steps[index], 1 << begin
        people = [
            person
            for person in ((by,) if by is not None else self.resources.people_for(step))
            if self.person_starts(person, step.minutes) & bit and not self.work[person] & clear
        ]
        numbers = [
            number
            for number in self.resources.stations_for(step)
            if self.station_starts(step.at, number, step.minutes) & bit and not self.taken[step.at, number] & clear
        ]
        if not people or not numbers:
            return None
        before = self.resources.standing.get((job.id, index))
        person = before.by if before and before.by in people else people[0]
        number = before.station if before and before.station in numbers else numbers[0]
        return Placed(job.id, index, step.at, number, person, begin, begin + step.minutes)


def limits(job: Job, index: int, in_window: bool) -> tuple[int, int]:
    """First and last minute at which the step may begin, by the machine's stay, the pin and a promise to keep."""
    step = job.steps[index]
    lower, upper = job.here_from, (DAY_MIN if job.gone_by is None else job.gone_by) - step.minutes
    if step.pin.begin is not None:
        lower, upper = max(lower, step.pin.begin), min(upper, step.pin.begin)
    if in_window and job.promised is not None and index == job.first_roller:
        lower, upper = max(lower, job.promised), min(upper, job.promised + PROMISE_WINDOW_MIN)
    return lower, upper


def released(day: DayProblem, job: Job) -> int:
    """The first minute at which the job's next step may begin: now, or when its begun steps are over."""
    at = day.now
    for step in job.steps:
        if step.began is not None:
            at = max(at, step.runs_to(day.now) if step.ended is None else step.ended)
    return at


def chain(floor: Floor, job: Job, in_window: bool, guarded: bool = False) -> list[Placed]:
    """The open steps of a job in sequence, each as early as possible. The floor is not changed.

    in_window: the promise must hold. guarded: the minutes before the promise must be free too. Returns the longest
    prefix that fits, which is the whole job if it has every open step. Greedy placement loses nothing here: delaying an
    earlier step never lets a later one begin sooner.
    """
    day = floor.resources.day
    at = released(day, job)
    guard_from = job.promised - day.guard if guarded and in_window and job.promised is not None else None
    out: list[Placed] = []
    for index in range(job.first_open, len(job.steps)):
        lower, upper = limits(job, index, in_window)
        clear = 0
        if guard_from is not None and job.first_roller is not None and index <= job.first_roller:
            if index < job.first_roller:
                upper = min(upper, guard_from - job.steps[index].minutes)
            else:
                clear = span(max(0, guard_from), guard_from + day.guard)
        begin = earliest(floor.starts(job.steps[index], clear), max(at, lower), upper)
        placed = None if begin is None else floor.seat(job, index, begin, clear)
        if placed is None:
            return out
        out.append(placed)
        at = placed.end
    return out


def _all(spans: Iterable[tuple[int, int]]) -> int:
    bits = 0
    for begin, end in spans:
        bits |= span(begin, end)
    return bits
