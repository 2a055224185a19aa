"""A day in sums, as the week shows it: the minutes at rollers and benches that are sold, in doubt, held, kept free and
still free. Of today only what is left of it counts.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from garage.core.planning.day_problem import KINDS, ROLLER, DayProblem, Job, JobStep
from garage.core.planning.placing import Resources, span


@dataclass(frozen=True, slots=True)
class RiskyVisit:
    """A visit that may well not be ready. ready: its chance, 0 to 1. minutes: of its time on the rollers."""

    number: str
    minutes: int
    ready: float


@dataclass(frozen=True, slots=True)
class PlaceSums:
    """Minutes at one kind of station on one day.

    there_min: while a station and somebody who can work there are both there. sold_min: those of risky visits included.
    held_min: kept for standby, or for somebody who is booking. kept_min: by the garage's rule. free_min: at most, since
    the same people work at the other place too.
    """

    at: str
    there_min: int
    sold_min: int
    held_min: int
    kept_min: int
    free_min: int
    risky: tuple[RiskyVisit, ...] = ()

    @property
    def risky_min(self) -> int:
        return sum(visit.minutes for visit in self.risky)

    @property
    def over_min(self) -> int:
        """Minutes that are sold beyond what is there."""
        return max(0, self.sold_min - self.there_min)

    @property
    def length_min(self) -> int:
        """Of everything that is to be drawn."""
        return max(self.there_min, self.sold_min + self.held_min + self.kept_min)


def place_sums(
    day: DayProblem, *, opens: int, closes: int, kept: Mapping[str, int], held: Iterable[str], in_doubt: Iterable[str]
) -> dict[str, PlaceSums]:
    """The sums of a day by place. day: with everything that is sold or held in it.

    opens, closes: minutes of the day, equal on a closed one. held, in_doubt: ids of jobs.

    >>> from garage.core.planning.day_problem import Worker
    >>> job = Job("41", 570, (JobStep("bench", 20, check=True), JobStep("roller", 95)), promised=600)
    >>> day = DayProblem("2027-03-10", 0, 1, 2, (Worker("p1", 480, 1020),), (job,))
    >>> sums = place_sums(day, opens=480, closes=1020, kept={"bench": 60}, held=(), in_doubt=())
    >>> [(one.at, one.there_min, one.sold_min, one.kept_min, one.free_min) for one in sums.values()]
    [('bench', 540, 20, 60, 365), ('roller', 540, 95, 0, 365)]
    """
    held, in_doubt = frozenset(held), frozenset(in_doubt)
    open_min = span(max(opens, day.now), closes)
    resources = Resources(day)
    people = {person: bits & open_min for person, bits in resources.open.items()}
    taken = {at: [(job, _left_min(job, at, day.now)) for job in day.jobs] for at in KINDS}
    used = sum(minutes for jobs in taken.values() for _, minutes in jobs) + sum(kept.get(at, 0) for at in KINDS)
    spare = sum(bits.bit_count() for bits in people.values()) - used
    out = {}
    for at in KINDS:
        able = [bits & ~resources.quiet[at] for person, bits in people.items() if at in resources.skills[person]]
        there = _shared_min(able, day.stations(at))
        sold = sum(minutes for job, minutes in taken[at] if job.id not in held)
        waiting = sum(minutes for job, minutes in taken[at] if job.id in held)
        free = max(0, min(there - sold - waiting - kept.get(at, 0), spare))
        doubtful = [(job, minutes) for job, minutes in taken[at] if at == ROLLER and job.id in in_doubt and minutes]
        risky = tuple(RiskyVisit(job.id, minutes, job.ready) for job, minutes in doubtful)
        out[at] = PlaceSums(at, there, sold, waiting, kept.get(at, 0), free, risky)
    return out


def _left_min(job: Job, at: str, now: int) -> int:
    return sum(_step_left_min(step, now) for step in job.steps if step.at == at)


def _step_left_min(step: JobStep, now: int) -> int:
    if step.ended is not None:
        return 0
    return step.runs_to(now) - now if step.is_running else step.minutes


def _shared_min(able: Iterable[int], stations: int) -> int:
    """Minutes in which a station and a person are both there, of all stations. able: the minutes of each, as bits.

    >>> _shared_min([0b111, 0b110, 0b100], stations=2)
    5
    """
    at_least = [0] * stations  # at_least[k]: minutes in which more than k people are there
    for bits in able:
        for depth in range(stations):
            at_least[depth], bits = at_least[depth] | bits, at_least[depth] & bits
    return sum(bits.bit_count() for bits in at_least)
