"""The day as a model for the solver: when each open step begins, with whom and where, and which promises are kept.

Nothing of the day is left out, so what is proved of the model is proved of the day. Groups of people and stations
between whom the plan makes no difference (alike.py) are one row of the model each.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field

from garage.core.planning.day_problem import PROMISE_WINDOW_MIN, Job, Placed
from garage.core.planning.placing import Floor, chain, limits, span
from garage.core.planning.plan_score import Seats, is_guarded, keeps
from garage.core.planning.solving.alike import Dealing, Group, Groups
from garage.core.planning.solving.bounds import reaching
from garage.core.planning.solving.solver import SolverModel, no
from garage.core.time.day_minutes import DAY_MIN

NEVER = -DAY_MIN


@dataclass(frozen=True, slots=True)
class OpenStep:
    """The variables of one step. here: whether it is placed. people, stations: for each group whether it is that."""

    job: Job
    index: int
    begin: int
    here: int
    absent_at: int
    people: dict[Group, int]
    stations: dict[Group, int]

    @property
    def minutes(self) -> int:
        return self.job.steps[self.index].minutes


@dataclass(slots=True)
class ModelRow:
    """What one group of people or stations is asked to do."""

    size: int
    steps: list[tuple[str, int]] = field(default_factory=list)  # job id and stretch
    guards: list[tuple[str, int]] = field(default_factory=list)
    held: list[int] = field(default_factory=list)


class DayModel:
    """tells_apart: whether every person and station counts, as where the plan is compared with a standing one."""

    def __init__(self, floor: Floor, running: list[Placed], *, tells_apart: bool = False) -> None:
        self.floor, self.resources, self.day = floor, floor.resources, floor.resources.day
        self.running = running
        self.model = SolverModel()
        self.always = self.model.number([(1, 1)])
        self.groups = Groups(floor, tells_apart=tells_apart)
        self.rows: dict[tuple[str, Group], ModelRow] = {}
        self.steps: dict[tuple[str, int], OpenStep] = {}
        self.last: dict[str, OpenStep] = {}  # of the jobs that can be finished
        self.kept: dict[str, int] = {}
        self.guarded: dict[str, int] = {}
        self.clear: dict[int, tuple[int, int]] = {}  # set where both are: the minutes before a promise are kept clear
        self.stays: dict[int, Placed] = {}
        self.costs: dict[int, int] = {}  # of a step's begin: the variable that is 0 where the step is not placed
        for job in self.day.jobs:
            self._add_job(job)
        for job in self.day.jobs:
            self._add_promise(job)
        for row in self.rows.values():
            self._close(row)

    def _add_job(self, job: Job) -> None:
        alone = chain(self.floor, job, in_window=False)
        if not alone or (len(alone) < job.open_count and not job.has_begun):
            return
        here, before = self.model.flag(), None
        for placed in alone:
            is_last = placed.step == len(job.steps) - 1
            if job.has_begun and before is not None:
                here = self.model.flag()
                self.model.any_of([no(here), before.here])
            step = self._open_step(job, placed, here, is_last=is_last)
            if before is not None:
                spans = [(before.minutes, DAY_MIN)]
                self.model.sum_within([(1, step.begin), (-1, before.begin)], spans, [here])
            self.steps[job.id, placed.step] = before = step
            if is_last:
                self.last[job.id] = step

    def _open_step(self, job: Job, alone: Placed, here: int, *, is_last: bool) -> OpenStep:
        """alone: the step as early as it can be on a day without the other jobs."""
        step = job.steps[alone.step]
        after = sum(one.minutes for one in job.steps[alone.step + 1 :]) if not job.has_begun else 0
        upper = limits(job, alone.step, in_window=False)[1] - (after if job.gone_by is not None else 0)
        within = span(alone.begin, upper + 1)
        absent_at = DAY_MIN - step.minutes if is_last else 0
        people = {
            group: _united(self.floor.person_starts(person, step.minutes) for person in group) & within
            for group in self.groups.people_for(step)
        }
        stations = {
            group: _united(self.floor.station_starts(step.at, number, step.minutes) for number in group) & within
            for group in self.groups.stations_for(step)
        }
        at_any = _united(people.values()) & _united(stations.values())
        begin = self.model.number(spans_of(at_any | 1 << absent_at))
        self.model.sum_within([(1, begin)], [(absent_at, absent_at)], [no(here)])
        made = OpenStep(
            job,
            alone.step,
            begin,
            here,
            absent_at,
            self._chosen(begin, here, {g: bits & at_any for g, bits in people.items() if bits & at_any}),
            self._chosen(begin, here, {g: bits & at_any for g, bits in stations.items() if bits & at_any}),
        )
        for kind, chosen in (("", made.people), (step.at, made.stations)):
            for group, flag in chosen.items():
                row = self.rows.setdefault((kind, group), self._row(kind, group))
                row.steps.append((job.id, self.model.stretch(begin, step.minutes, flag)))
        return made

    def _chosen(self, begin: int, here: int, starts: dict[Group, int]) -> dict[Group, int]:
        """A flag for each group, of which one is set if the step is here; it then begins where that group is free."""
        if len(starts) == 1:
            (group,) = starts
            self.model.sum_within([(1, begin)], spans_of(starts[group]), [here])
            return {group: here}
        out = {group: self.model.flag() for group in starts}
        self.model.exactly_one_of([*out.values(), no(here)])
        for group, flag in out.items():
            self.model.sum_within([(1, begin)], spans_of(starts[group]), [flag])
        return out

    def _row(self, kind: str, group: Group) -> ModelRow:
        row = ModelRow(len(group))
        if len(group) > 1:  # work under way holds some members of the group for a while
            for member in group:
                taken = self.floor.work[str(member)] if not kind else self.floor.taken[kind, int(member)]
                row.held += [self.model.fixed_stretch(a, b - a + 1) for a, b in spans_of(taken)]
        return row

    def _add_promise(self, job: Job) -> None:
        if job.promised is None or job.first_roller is None or not reaching(self.floor, job, guarded=False):
            return
        rollers = self.steps[job.id, job.first_roller]
        kept = self.kept[job.id] = self.model.flag()
        self.model.any_of([no(kept), rollers.here])
        window = [(job.promised, job.promised + PROMISE_WINDOW_MIN)]
        self.model.sum_within([(1, rollers.begin)], window, [kept])
        if self.day.guard and reaching(self.floor, job, guarded=True):
            self._add_guard(job, rollers, kept)

    def _add_guard(self, job: Job, rollers: OpenStep, kept: int) -> None:
        promised = job.promised or 0
        since = max(0, promised - self.day.guard)
        guarded = self.guarded[job.id] = self.model.flag()
        self.model.any_of([no(guarded), kept])
        before = self.steps.get((job.id, rollers.index - 1))
        if before is not None:
            self.model.sum_within([(1, before.begin)], [(NEVER, since - before.minutes)], [guarded])
        clear = span(since, promised)
        if not clear:
            return
        for kind, chosen in (("", rollers.people), ("roller", rollers.stations)):
            for group, flag in chosen.items():
                taken = self.floor.work[str(group[0])] if not kind else self.floor.taken[kind, int(group[0])]
                if taken & clear:
                    self.model.any_of([no(guarded), no(flag)])
                    continue
                both = self.model.flag()
                self.model.any_of([no(guarded), no(flag), both])
                self.clear[both] = (guarded, flag)
                stretch = self.model.fixed_stretch(since, promised - since, both)
                self.rows[kind, group].guards.append((job.id, stretch))

    def _close(self, row: ModelRow) -> None:
        stretches = [stretch for _, stretch in row.steps]
        if row.size > 1:
            self.model.at_most(row.size, [*stretches, *row.held])
            return
        self.model.apart(stretches)
        for job, guard in row.guards:
            self.model.apart([guard, *(stretch for other, stretch in row.steps if other != job)])

    def cost_of_beginning(self, step: OpenStep) -> int:
        """A number that is the step's begin, and 0 if it is not placed."""
        if step.absent_at == 0:
            return step.begin
        if step.begin not in self.costs:
            cost = self.costs[step.begin] = self.model.number([(0, DAY_MIN)])
            self.model.sum_within([(1, cost), (-1, step.begin)], [(0, DAY_MIN)], [step.here])
        return self.costs[step.begin]

    def unmoved(self) -> list[int]:
        """A flag for each step of the standing plan that may stay where it stands."""
        out = []
        for key, step in self.steps.items():
            was = self.resources.standing.get(key)
            if was is None or (was.by,) not in step.people or (was.station,) not in step.stations:
                continue
            if was.at != step.job.steps[step.index].at or was.end - was.begin != step.minutes:
                continue
            stays = self.model.flag()
            for flag in (step.here, step.people[was.by,], step.stations[was.station,]):
                self.model.any_of([no(stays), flag])
            self.model.sum_within([(1, step.begin)], [(was.begin, was.begin)], [stays])
            self.stays[stays] = was
            out.append(stays)
        return out

    def same_people_and_stations(self) -> Iterator[int]:
        """The flag of each standing step's person and of its station, where the step may still have them."""
        for key, step in self.steps.items():
            was = self.resources.standing.get(key)
            if was is not None and (was.by,) in step.people:
                yield step.people[was.by,]
            if was is not None and (was.station,) in step.stations:
                yield step.stations[was.station,]

    def hint(self, seats: Seats) -> dict[int, int]:
        """The values that say what these seats say."""
        out = {self.always: 1}
        placed = {(p.job, p.step): p for seated in seats.values() for p in seated}
        for key, step in self.steps.items():
            at = placed.get(key)
            out[step.begin] = step.absent_at if at is None else at.begin
            for group, flag in (*step.people.items(), *step.stations.items()):
                out[flag] = int(at is not None and (at.by in group or at.station in group))
            out[step.here] = int(at is not None)
            if step.begin in self.costs:
                out[self.costs[step.begin]] = 0 if at is None else at.begin
        for job in self.day.jobs:
            if job.id in self.kept:
                out[self.kept[job.id]] = int(keeps(job, seats[job.id]))
            if job.id in self.guarded:
                out[self.guarded[job.id]] = int(keeps(job, seats[job.id]) and is_guarded(self.day, job, seats))
        out |= {both: out[guarded] * out[flag] for both, (guarded, flag) in self.clear.items()}
        return out | {stays: int(placed.get((was.job, was.step)) == was) for stays, was in self.stays.items()}

    def seats(self, values: Sequence[int]) -> Seats:
        """The seats that the values say, what runs included."""
        out: Seats = {job.id: [] for job in self.day.jobs}
        for one in self.running:
            out[one.job].append(one)
        dealt = Dealing(self.floor)
        for step in sorted(self.steps.values(), key=lambda one: values[one.begin]):
            if values[step.here]:
                person = next(group for group, flag in step.people.items() if values[flag])
                station = next(group for group, flag in step.stations.items() if values[flag])
                out[step.job.id].append(dealt.seat(step.job, step.index, values[step.begin], person, station))
        return out


def _united(starts: Iterable[int]) -> int:
    bits = 0
    for one in starts:
        bits |= one
    return bits


def spans_of(bits: int) -> list[tuple[int, int]]:
    """The runs of set bits, first and last bit each.

    >>> spans_of(0b1101110)
    [(1, 3), (5, 6)]
    """
    out, at = [], 0
    while bits:
        skip = (bits & -bits).bit_length() - 1
        bits >>= skip
        length = (~bits & (bits + 1)).bit_length() - 1
        out.append((at + skip, at + skip + length - 1))
        bits >>= length
        at += skip + length
    return out
