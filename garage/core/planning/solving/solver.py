"""A model of whole numbers, yes-or-no flags and stretches of time, solved by CP-SAT: one worker, one seed.

The model is written in the form that CP-SAT itself reads (its documented `CpModelProto`). The layer for Python on top
of it was refused: it imports pandas, which costs a process two seconds and 60 MB. CP-SAT itself is imported when a day
is first solved, because most processes never plan one.

A flag is the index of its variable; `no(flag)` is its opposite. Work is counted in CP-SAT's deterministic seconds,
some seconds of one core each, so that the same model gives the same answer on every machine. The clock is only the
last resort.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import Enum
from typing import Any

SEED = 1
Span = tuple[int, int]  # first and last value, inclusive
WeightedSum = Sequence[tuple[int, int]]  # pairs of factor and variable


class SolverOutcome(Enum):
    BEST = "best"  # proved: there is none better
    FOUND = "found"  # the work was used up with a solution at hand
    NONE = "none"  # proved: there is no solution
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Solved:
    """values: one for each variable, empty without a solution. bound: what no solution goes below.

    work_s: deterministic seconds used. wall_s: seconds by the clock.
    """

    outcome: SolverOutcome
    values: Sequence[int]
    value: int
    bound: float
    work_s: float
    wall_s: float


def no(flag: int) -> int:
    """The opposite of a flag, and back."""
    return -flag - 1


class SolverModel:
    """Constraints are added one by one; an objective is set for each solve.

    >>> model = SolverModel()
    >>> first, second = model.number([(0, 9)]), model.number([(0, 9)])
    >>> model.apart([model.stretch(first, 3), model.stretch(second, 4)])
    >>> solved = model.minimised([(2, first), (3, second)], {}, work_s=1.0, wall_s=10.0)
    >>> solved.outcome.value, solved.value, list(solved.values)
    ('best', 8, [4, 0])
    """

    def __init__(self) -> None:
        from ortools.sat.python import cp_model_helper

        self._engine: Any = cp_model_helper
        self._proto: Any = cp_model_helper.CpModelProto()
        self._count = 0

    def number(self, spans: Iterable[Span]) -> int:
        """A whole number within one of the spans, which are in order and apart."""
        self._proto.variables.add().domain.extend([bound for span in spans for bound in span])
        self._count += 1
        return self._count - 1

    def flag(self) -> int:
        return self.number([(0, 1)])

    def stretch(self, begin: int, minutes: int, only_if: int | None = None) -> int:
        """So many minutes from the number `begin` on. Returns the index that `apart` and `at_most` take."""
        return self._stretch(minutes, only_if, begin=begin)

    def fixed_stretch(self, begin: int, minutes: int, only_if: int | None = None) -> int:
        return self._stretch(minutes, only_if, at=begin)

    def apart(self, stretches: Sequence[int]) -> None:
        """No two of these overlap."""
        if len(stretches) > 1:
            self._constraint(()).no_overlap.intervals.extend(stretches)

    def at_most(self, most: int, stretches: Sequence[int]) -> None:
        """At no time more than `most` of these run."""
        if len(stretches) <= most:
            return
        cumulative = self._constraint(()).cumulative
        cumulative.capacity.offset = most
        cumulative.intervals.extend(stretches)
        for _ in stretches:
            cumulative.demands.add().offset = 1

    def any_of(self, flags: Iterable[int]) -> None:
        self._constraint(()).bool_or.literals.extend(flags)

    def exactly_one_of(self, flags: Iterable[int]) -> None:
        self._constraint(()).exactly_one.literals.extend(flags)

    def sum_within(self, terms: WeightedSum, spans: Iterable[Span], only_if: Iterable[int] = ()) -> None:
        """The sum of factor × variable lies within one of the spans, if all those flags are set."""
        linear = self._constraint(only_if).linear
        linear.vars.extend([variable for _, variable in terms])
        linear.coeffs.extend([factor for factor, _ in terms])
        linear.domain.extend([bound for span in spans for bound in span])

    def minimised(self, terms: WeightedSum, hint: Mapping[int, int], *, work_s: float, wall_s: float) -> Solved:
        """The values for which the sum of factor × variable is least. hint: values to begin with."""
        proto = self._proto
        proto.clear_objective()
        proto.objective.vars.extend([variable for _, variable in terms])
        proto.objective.coeffs.extend([factor for factor, _ in terms])
        proto.clear_solution_hint()
        proto.solution_hint.vars.extend(list(hint))
        proto.solution_hint.values.extend(list(hint.values()))
        solver = self._engine.SolveWrapper()
        solver.set_parameters(self._parameters(work_s, wall_s))
        return _solved(self._engine, solver.solve(proto))

    def _parameters(self, work_s: float, wall_s: float) -> Any:
        out = self._engine.SatParameters()
        out.num_workers = 1
        out.random_seed = SEED
        out.max_deterministic_time = work_s
        out.max_time_in_seconds = wall_s
        return out

    def _constraint(self, only_if: Iterable[int]) -> Any:
        out = self._proto.constraints.add()
        out.enforcement_literal.extend(list(only_if))
        return out

    def _stretch(self, minutes: int, only_if: int | None, begin: int | None = None, at: int = 0) -> int:
        index = len(self._proto.constraints)
        interval = self._constraint(() if only_if is None else (only_if,)).interval
        if begin is not None:
            for side in (interval.start, interval.end):
                side.vars.append(begin)
                side.coeffs.append(1)
        interval.start.offset, interval.size.offset, interval.end.offset = at, minutes, at + minutes
        return index


def _solved(engine: Any, response: Any) -> Solved:
    status = engine.CpSolverStatus
    outcome = {
        status.OPTIMAL: SolverOutcome.BEST,
        status.FEASIBLE: SolverOutcome.FOUND,
        status.INFEASIBLE: SolverOutcome.NONE,
    }.get(response.status, SolverOutcome.UNKNOWN)
    return Solved(
        outcome=outcome,
        values=list(response.solution),
        value=round(response.objective_value),
        bound=response.best_objective_bound,
        work_s=response.deterministic_time,
        wall_s=response.wall_time,
    )
