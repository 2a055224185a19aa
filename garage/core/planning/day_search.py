"""Whether a set of jobs can all be done: a search over the order of their steps with a fixed budget of nodes.

Each node chooses the next step in order of time. Some step must begin before the earliest moment at which any waiting
step could end, or that step could be fitted in at no cost. So only those steps are tried, each as early as possible
and with each person (Giffler and Thompson 1960 for one kind of station; the extension to people from memory). After
each choice every other job must still fit on its own, or the node is abandoned.
"""

from __future__ import annotations

from dataclasses import dataclass

from garage.core.planning.day_problem import Job, Placed
from garage.core.planning.placing import Floor, earliest, limits, released


@dataclass(frozen=True, slots=True)
class Duty:
    """A job that must be placed whole. in_window: with its promise kept."""

    job: Job
    in_window: bool


@dataclass(frozen=True, slots=True)
class _Waiting:
    """A partly placed job: its remaining steps and the earliest minute at which the next may begin."""

    duty: Duty
    index: int
    at: int
    seats: tuple[Placed, ...]


@dataclass(frozen=True, slots=True)
class _Choice:
    place: int  # index into the waiting jobs
    placed: Placed
    latest: int


def fit_all(floor: Floor, asked: tuple[Duty, ...], nodes: int) -> dict[str, list[Placed]] | None:
    """The open steps of every job, placed around what the floor holds. None if not found within the node budget."""
    day = floor.resources.day
    waiting = tuple(
        _Waiting(duty, duty.job.first_open, released(day, duty.job), ()) for duty in asked if duty.job.open_count
    )
    search = _Search(nodes)
    return search.down(floor, waiting, {})


class _Search:
    def __init__(self, nodes: int) -> None:
        self.nodes = nodes

    def down(
        self, floor: Floor, waiting: tuple[_Waiting, ...], done: dict[str, list[Placed]]
    ) -> dict[str, list[Placed]] | None:
        if not waiting:
            return done
        self.nodes -= 1
        if self.nodes < 0:
            return None
        choices = _choices(floor, waiting)
        for choice in choices or ():
            now = waiting[choice.place]
            after = floor.copy()
            after.hold(choice.placed)
            seats = (*now.seats, choice.placed)
            rest, finished = list(waiting), done
            if now.index + 1 < len(now.duty.job.steps):
                rest[choice.place] = _Waiting(now.duty, now.index + 1, choice.placed.end, seats)
            else:
                del rest[choice.place]
                finished = {**done, now.duty.job.id: list(seats)}
            found = self.down(after, tuple(rest), finished)
            if found is not None or self.nodes < 0:
                return found
        return None


def _choices(floor: Floor, waiting: tuple[_Waiting, ...]) -> list[_Choice] | None:
    """The candidates for the next step, most urgent first. None if some job no longer fits."""
    out: list[_Choice] = []
    first_over: int | None = None
    for place, one in enumerate(waiting):
        if not _has_room(floor, one):
            return None
        for choice in _seatings(floor, place, one):
            out.append(choice)
            first_over = choice.placed.end if first_over is None else min(first_over, choice.placed.end)
    if first_over is None:
        return None
    near = [choice for choice in out if choice.placed.begin < first_over]
    return sorted(near, key=lambda c: (c.latest, c.placed.begin, c.placed.end, c.place))


def _has_room(floor: Floor, one: _Waiting) -> bool:
    """Whether the rest of the job fits on its own."""
    job, at = one.duty.job, one.at
    for index in range(one.index, len(job.steps)):
        lower, upper = limits(job, index, one.duty.in_window)
        begin = earliest(floor.starts(job.steps[index]), max(at, lower), upper)
        if begin is None:
            return False
        at = begin + job.steps[index].minutes
    return True


def _seatings(floor: Floor, place: int, one: _Waiting) -> list[_Choice]:
    """The job's next step as early as possible, once for each person who makes a difference."""
    job = one.duty.job
    step = job.steps[one.index]
    lower, upper = limits(job, one.index, one.duty.in_window)
    stations = 0
    for number in floor.resources.stations_for(step):
        stations |= floor.station_starts(step.at, number, step.minutes)
    latest = _latest(job, one)
    out, seen = [], set()
    for person in floor.resources.people_for(step):
        free = floor.resources.open[person] & ~floor.work[person]
        alike = (free, floor.resources.skills[person], person if person in floor.resources.named else None)
        if alike in seen:
            continue
        seen.add(alike)
        begin = earliest(floor.person_starts(person, step.minutes) & stations, max(one.at, lower), upper)
        placed = None if begin is None else floor.seat(job, one.index, begin, by=person)
        if placed is not None:
            out.append(_Choice(place, placed, latest))
    return out


def _latest(job: Job, one: _Waiting) -> int:
    """The latest minute at which the next step may begin if the rest follow without a gap."""
    latest: int | None = None
    for index in range(len(job.steps) - 1, one.index - 1, -1):
        upper = limits(job, index, one.duty.in_window)[1]
        latest = upper if latest is None else min(upper, latest - job.steps[index].minutes)
    return 0 if latest is None else latest
