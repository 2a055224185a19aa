"""Whether a day could be planned better: an exact answer by other means, written from the manual of `plan` alone.

For each step, person, station and begin on the grid a 0-1 variable, with one row for each person, station and minute.
Whether any plan is better on one level while as good on those above is decided by HiGHS (in SciPy) or, on bigger days,
by CP-SAT on the same 0-1 rows. Nothing of the planner is used: no interval, no group, none of its code.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
from ortools.sat.python import cp_model_helper
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array

from garage.core.planning.day_problem import DayProblem, Job, JobStep, Plan
from tests.garage.core.check_plan import guarded_count

DAY_MIN, WINDOW_MIN = 1440, 15
Key = tuple[str, int, str, int, int]  # job, step, person, station (0: any of its kind), begin


@dataclass
class _Rows:
    """Linear rows: least ≤ sum of factor × variable ≤ most."""

    rows: list[dict[int, float]] = field(default_factory=list)
    least: list[float] = field(default_factory=list)
    most: list[float] = field(default_factory=list)

    def add(self, row: dict[int, float], most: float, least: float = -np.inf) -> None:
        self.rows.append(row)
        self.least.append(least)
        self.most.append(most)


Decide = Callable[[int, _Rows, float], bool | None]  # whether the rows can all hold; None if not decided


class Reference:
    def __init__(self, day: DayProblem, grid_min: int) -> None:
        self.day, self.grid = day, grid_min
        self.count = 0
        self.rows = _Rows()
        self.begins: dict[Key, int] = {}
        self.of_step: dict[tuple[str, int], list[Key]] = defaultdict(list)
        self.here: dict[tuple[str, int], int] = {}
        self.kept: dict[str, int] = {}
        self.guarded: dict[str, int] = {}
        self.running = [
            (job, index, step, self._end(step))
            for job in day.jobs
            for index, step in enumerate(job.steps)
            if step.began is not None and step.ended is None
        ]
        for job in day.jobs:
            self._steps(job)
        self._capacity()
        for job in day.jobs:
            self._promise(job)

    def _new(self) -> int:
        self.count += 1
        return self.count - 1

    def _end(self, step: JobStep) -> int:
        end = step.began + step.minutes
        return end if end > self.day.now else self.day.now + 5

    def _numbers(self, at: str) -> list[int]:
        """Stations told apart where a pin or a guarded promise asks for it."""
        count = self.day.rollers if at == "roller" else self.day.benches
        is_pinned = any(s.at == at and s.pin.station and s.began is None for j in self.day.jobs for s in j.steps)
        apart = is_pinned or (at == "roller" and self.day.guard and count > 1)
        return list(range(1, count + 1)) if apart else [0] if count else []

    def _free(self, person, step: JobStep, begin: int) -> bool:
        end = begin + step.minutes
        hours = person.begin <= begin and end <= person.end and step.at in person.skills
        return hours and all(end <= a or b <= begin for a, b in person.breaks)

    def _steps(self, job: Job) -> None:
        first = max((i + 1 for i, s in enumerate(job.steps) if s.began is not None), default=0)
        since = max([self.day.now, job.here_from] + [s.ended or self._end(s) for s in job.steps[:first]])
        begun, shared = first > 0, None
        for index in range(first, len(job.steps)):
            here = self.here[job.id, index] = self._new() if begun or shared is None else shared
            shared = here
            for key in self._ways(job, index, since):
                self.begins[key] = self._new()
                self.of_step[job.id, index].append(key)
            self.rows.add({self.begins[k]: 1 for k in self.of_step[job.id, index]} | {here: -1}, 0, 0)
        for one, other in pairwise(range(first, len(job.steps))):
            if begun:
                self.rows.add({self.here[job.id, other]: 1, self.here[job.id, one]: -1}, 0)
            for minute in sorted({k[4] for k in self.of_step[job.id, one]}):
                row = {self.begins[k]: 1.0 for k in self.of_step[job.id, one] if k[4] >= minute}
                early = minute + job.steps[one].minutes
                row |= {self.begins[k]: 1.0 for k in self.of_step[job.id, other] if k[4] < early}
                self.rows.add(row, 1)

    def _ways(self, job: Job, index: int, since: int) -> Iterator[Key]:
        """Every begin, person and station that the step could have on a day of its own."""
        step = job.steps[index]
        until = (DAY_MIN if job.gone_by is None else job.gone_by) - step.minutes
        for begin in range(-(-since // self.grid) * self.grid, until + 1, self.grid):
            quiet = any(begin < b and a < begin + step.minutes for a, b in self.day.quiet_rollers)
            if step.pin.begin not in (None, begin) or (step.at == "roller" and quiet):
                continue
            able = [p for p in self.day.people if step.pin.by in (None, p.id) and self._free(p, step, begin)]
            numbers = [n for n in self._numbers(step.at) if step.pin.station in (None, n)]
            yield from ((job.id, index, person.id, number, begin) for person in able for number in numbers)

    def _capacity(self) -> None:
        people, stations = defaultdict(dict), defaultdict(dict)
        for key, variable in self.begins.items():
            job, index, person, number, begin = key
            step = next(j for j in self.day.jobs if j.id == job).steps[index]
            for minute in range(begin, begin + step.minutes, self.grid):
                people[person, minute][variable] = 1.0
                stations[step.at, number, minute][variable] = 1.0
        for (person, minute), row in people.items():
            is_busy = any(s.by == person and s.began <= minute < end for _, _, s, end in self.running)
            self.rows.add(row, 0 if is_busy else 1)
        for (at, number, minute), row in stations.items():
            count = self.day.rollers if at == "roller" else self.day.benches
            taken = self._taken(at, minute)
            self.rows.add(row, max(0, count - len(taken)) if number == 0 else int(number not in taken))

    def _taken(self, at: str, minute: int) -> set[int]:
        """Running work stands where it was planned, else at the lowest station that is free."""
        return {n for (job, index), n in self._seated().items() if self._runs(job, index, at, minute)}

    def _runs(self, job: str, index: int, at: str, minute: int) -> bool:
        return any(
            (j.id, i) == (job, index) and s.at == at and s.began <= minute < end for j, i, s, end in self.running
        )

    def _seated(self) -> dict[tuple[str, int], int]:
        standing = {(p.job, p.step): p.station for p in self.day.standing}
        return {(j.id, i): standing[j.id, i] for j, i, _, _ in self.running}

    def _promise(self, job: Job) -> None:
        rollers = [i for i, s in enumerate(job.steps) if s.at == "roller"]
        if job.promised is None or not rollers or job.steps[rollers[0]].began is not None:
            return
        index, promised = rollers[0], job.promised
        in_time = [k for k in self.of_step[job.id, index] if promised <= k[4] <= promised + WINDOW_MIN]
        kept = self.kept[job.id] = self._new()
        self.rows.add({self.begins[k]: 1.0 for k in in_time} | {kept: -1.0}, np.inf, 0)
        if not self.day.guard:
            return
        guarded, since = self._new(), promised - self.day.guard
        self.guarded[job.id] = guarded
        self.rows.add({guarded: 1, kept: -1}, 0)
        if any(j.id == job.id and end > since for j, _, _, end in self.running):
            self.rows.add({guarded: 1}, 0)
        for before in range(index):
            late = [k for k in self.of_step[job.id, before] if k[4] + job.steps[before].minutes > since]
            self.rows.add({self.begins[k]: 1.0 for k in late} | {guarded: 1.0}, 1)
        self._clear(job, index, guarded, range(since, promised, self.grid))

    def _clear(self, job: Job, index: int, guarded: int, minutes: range) -> None:
        mine = self.of_step[job.id, index]
        for place, name in {(2, k[2]) for k in mine} | {(3, k[3]) for k in mine}:
            with_it = {self.begins[k]: 1.0 for k in mine if k[place] == name} | {guarded: 1.0}
            for minute in minutes:
                row = dict(with_it)
                for key, variable in self.begins.items():
                    other = next(j for j in self.day.jobs if j.id == key[0]).steps[key[1]]
                    is_same = key[place] == name and (place == 2 or other.at == "roller")
                    if key[0] != job.id and is_same and key[4] <= minute < key[4] + other.minutes:
                        row[variable] = 1.0
                busy = self._is_busy(job, place, name, minute)
                if busy or len(row) > len(with_it):
                    self.rows.add(row, 1 if busy else 2)

    def _is_busy(self, job: Job, place: int, name: object, minute: int) -> bool:
        for other, index, step, end in self.running:
            if other.id == job.id or not step.began <= minute < end:
                continue
            if place == 2 and step.by == name:
                return True
            if place == 3 and step.at == "roller" and name in (0, self._seated()[other.id, index]):
                return True
        return False

    def levels(self) -> list[tuple[dict[int, float], float]]:
        """Each level as a sum to make small: factors of variables and what is certain already."""
        begun = [j for j in self.day.jobs if j.promised is not None and self._began_in_time(j)]
        worth, ends, sure_worth, sure_ends = {}, {}, 0.0, 0.0
        for job in self.day.jobs:
            last = len(job.steps) - 1
            if (job.id, last) not in self.here:
                sure_worth += job.worth
                sure_ends += job.steps[last].ended or self._end(job.steps[last])
                continue
            sure_ends += DAY_MIN
            worth[self.here[job.id, last]] = worth.get(self.here[job.id, last], 0.0) - job.worth
            for key in self.of_step[job.id, last]:
                ends[self.begins[key]] = key[4] + job.steps[last].minutes - DAY_MIN
        risk = {
            self.begins[key]: (1 - job.ready) * key[4]
            for job in self.day.jobs
            for index, step in enumerate(job.steps)
            if step.check
            for key in self.of_step.get((job.id, index), [])
        }
        kept = dict.fromkeys(self.kept.values(), -1.0)
        guarded = dict.fromkeys(self.guarded.values(), -1.0) if self.day.guard else kept
        return [(kept, -len(begun)), (guarded, -len(begun)), (worth, -sure_worth), (ends, sure_ends), (risk, 0.0)]

    def _began_in_time(self, job: Job) -> bool:
        began = next((s.began for s in job.steps if s.at == "roller"), None)
        return began is not None and 0 <= began - job.promised <= WINDOW_MIN

    def is_better_possible(
        self, values: list[float], level: int, least_gain: float, decide: Decide, limit_s: float
    ) -> bool | None:
        """Whether some plan is better by least_gain on this level and no worse above. None if it was not decided."""
        rows = _Rows(list(self.rows.rows), list(self.rows.least), list(self.rows.most))
        for above, (row, sure) in enumerate(self.levels()[: level + 1]):
            gain = least_gain if above == level else -1e-4
            if not row:
                if gain > 0:
                    return False
                continue
            rows.add(row, values[above] - sure - gain)
        if not self.count:
            return False
        return decide(self.count, rows, limit_s)


def by_highs(count: int, rows: _Rows, limit_s: float) -> bool | None:
    data, columns, starts = [], [], [0]
    for row in rows.rows:
        columns += row.keys()
        data += row.values()
        starts.append(len(columns))
    matrix = csr_array((data, columns, starts), shape=(len(rows.rows), count))
    found = milp(
        np.zeros(count),
        constraints=LinearConstraint(matrix, rows.least, rows.most),
        integrality=np.ones(count),
        bounds=Bounds(0, 1),
        options={"time_limit": limit_s},
    )
    return {0: True, 2: False}.get(found.status)


def by_sat(count: int, rows: _Rows, limit_s: float) -> bool | None:
    """Factors in hundredths: chances and weights of the drawn days have no more digits."""
    proto, far = cp_model_helper.CpModelProto(), 2**50
    for _ in range(count):
        proto.variables.add().domain.extend([0, 1])
    for row, least, most in zip(rows.rows, rows.least, rows.most, strict=True):
        constraint = proto.constraints.add()
        if set(row.values()) == {1.0} and most == 1 and least == -np.inf:
            constraint.at_most_one.literals.extend(list(row))
            continue
        low = -far if least == -np.inf else math.ceil(100 * least - 1e-6)
        high = far if most == np.inf else math.floor(100 * most + 1e-6)
        constraint.linear.vars.extend(list(row))
        constraint.linear.coeffs.extend([round(100 * factor) for factor in row.values()])
        constraint.linear.domain.extend([low, high])
    solver, parameters, status = (
        cp_model_helper.SolveWrapper(),
        cp_model_helper.SatParameters(),
        cp_model_helper.CpSolverStatus,
    )
    parameters.num_workers, parameters.max_time_in_seconds = 1, limit_s
    solver.set_parameters(parameters)
    found = solver.solve(proto).status
    return {status.OPTIMAL: True, status.FEASIBLE: True, status.INFEASIBLE: False}.get(found)


def values_of(day: DayProblem, made: Plan) -> list[float]:
    """The plan's five levels, each as a sum to make small, counted from the list of what is placed."""
    at = {(p.job, p.step): p for p in made.placed}
    ends = risk = 0.0
    for job in day.jobs:
        last = len(job.steps) - 1
        placed = at.get((job.id, last))
        ends += placed.end if placed else job.steps[last].ended or DAY_MIN
        risk += sum(
            (1 - job.ready) * at[job.id, i].begin
            for i, s in enumerate(job.steps)
            if s.check and s.began is None and (job.id, i) in at
        )
    return [-made.kept, -guarded_count(day, made), -made.worth, ends, risk]


GAINS = (1.0, 1.0, 500.0, 5.0, 0.04)  # the least by which a drawn day's levels can differ


def levels_beaten(
    day: DayProblem, made: Plan, decide: Decide = by_sat, levels: int = 5, limit_s: float = 60.0
) -> list[bool | None]:
    """For each level whether a better plan exists; it stops after the first that is beaten or not decided."""
    reference, values, out = Reference(day, 5), values_of(day, made), []
    for level in range(levels):
        out.append(reference.is_better_possible(values, level, GAINS[level] / 2, decide, limit_s))
        if out[-1] is not False:
            break
    return out
