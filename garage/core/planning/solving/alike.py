"""People and stations between whom a plan makes no difference, and how their work is dealt out to each.

At no time may more steps of a group run than it has members; who does which is dealt out afterwards, in order of time.
Stretches of which never more than n run at once can always be dealt out to n rows so (colouring of interval graphs,
greedily by begin). Work under way is dealt out first: it all began before anything that is still to be placed.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from garage.core.planning.day_problem import Job, JobStep, Placed
from garage.core.planning.placing import Floor, span

Group = tuple[str, ...] | tuple[int, ...]  # people, or stations of one kind


class Groups:
    """People, and stations of each kind, between whom a plan needs to make no difference."""

    def __init__(self, floor: Floor, *, tells_apart: bool) -> None:
        self.floor, self.resources = floor, floor.resources
        day = self.resources.day
        pinned = {s.at for job in day.jobs for s in job.steps[job.first_open :] if s.pin.station is not None}
        self.people: list[tuple[str, ...]] = self._people(tells_apart=tells_apart or day.guard > 0)
        self.stations: dict[str, list[tuple[int, ...]]] = {}
        for kind, numbers in self.resources.stations.items():
            apart = tells_apart or kind in pinned or (kind == "roller" and day.guard > 0)
            self.stations[kind] = [(n,) for n in numbers] if apart else [numbers] if numbers else []

    def _people(self, *, tells_apart: bool) -> list[tuple[str, ...]]:
        alike: dict[object, list[str]] = defaultdict(list)
        for number, person in enumerate(self.resources.day.people):
            is_apart = tells_apart or person.id in self.resources.named
            key = (number,) if is_apart else (self.resources.open[person.id], person.skills)
            alike[key].append(person.id)
        return [tuple(members) for members in alike.values()]

    def people_for(self, step: JobStep) -> Iterator[tuple[str, ...]]:
        able = set(self.resources.people_for(step))
        return (group for group in self.people if group[0] in able)

    def stations_for(self, step: JobStep) -> Iterator[tuple[int, ...]]:
        able = set(self.resources.stations_for(step))
        return (group for group in self.stations[step.at] if group[0] in able)


class Dealing:
    """Deals the steps of a group out to its members, in order of time."""

    def __init__(self, floor: Floor) -> None:
        self.floor = floor.copy()

    def seat(self, job: Job, index: int, begin: int, people: Group, stations: Group) -> Placed:
        step = job.steps[index]
        minutes = span(begin, begin + step.minutes)
        free = [str(p) for p in people if not self.floor.work[str(p)] & minutes]
        numbers = [int(n) for n in stations if not self.floor.taken[step.at, int(n)] & minutes]
        before = self.floor.resources.standing.get((job.id, index))
        person = before.by if before and before.by in free else free[0]
        number = before.station if before and before.station in numbers else numbers[0]
        placed = Placed(job.id, index, step.at, number, person, begin, begin + step.minutes)
        self.floor.hold(placed)
        return placed
