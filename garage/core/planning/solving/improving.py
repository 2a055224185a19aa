"""A plan made better level by level, and how many levels, from the top, are proved the best.

Each level is searched with the ones above it held, and not at all where the plan at hand is already as good as any
could be: what each job could do on a day of its own bounds every level.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from math import gcd

from garage.core.planning.day_problem import Placed
from garage.core.planning.placing import Floor
from garage.core.planning.plan_score import Seats, score
from garage.core.planning.solving.bounds import DayBounds
from garage.core.planning.solving.day_model import DayModel
from garage.core.planning.solving.solver import Solved, SolverOutcome, WeightedSum

LEVELS = 5  # those that `proved` counts; a sixth, the fewest moved steps, is searched where there is a standing plan
RISK_PARTS = 10**6  # chances are weighed in millionths: all checks of a day together are then out by 0.01 min at most
# Deterministic seconds of the solver for each second of limit_s. One is 1 to 5 s of a core on days of 12 jobs (measured
# with OR-Tools 9.15), so the work is used up before the clock's limit even on a machine half as fast.
WORK_S_A_SECOND = 0.12
CLOCK_SHARE = 0.8  # of limit_s for the solver by the clock, less CLOCK_RESERVE_S for what is done in Python
CLOCK_RESERVE_S = 0.05
LEAST_S = 0.001
UNBOUNDED = 2**52


@dataclass(frozen=True, slots=True)
class Improved:
    seats: Seats
    proved: int


@dataclass(slots=True)
class Budget:
    """What is left of the solver's work, and of the clock as the last resort, in seconds."""

    work_s: float
    wall_s: float

    def take(self, solved: Solved) -> None:
        self.work_s -= solved.work_s
        self.wall_s -= solved.wall_s

    @property
    def is_spent(self) -> bool:
        return self.work_s < LEAST_S or self.wall_s < LEAST_S


def improved(floor: Floor, running: list[Placed], seats: Seats) -> Improved:
    """The best plan found within the day's limit, never a worse one than that of `seats`."""
    day = floor.resources.day
    budget = Budget(WORK_S_A_SECOND * day.limit_s, CLOCK_SHARE * day.limit_s - CLOCK_RESERVE_S)
    one = _Improving(floor, running, seats, budget)
    proved = one.through_the_levels()
    one.least_moved()
    return Improved(one.seats, proved)


class _Improving:
    def __init__(self, floor: Floor, running: list[Placed], seats: Seats, budget: Budget) -> None:
        self.floor, self.day, self.running = floor, floor.resources.day, running
        self.seats, self.budget = seats, budget

    def through_the_levels(self) -> int:
        """How many levels from the top are proved. The model is made when the first level needs a search."""
        bounds, proved, model = DayBounds(self.floor), 0, None
        for level in range(LEVELS):
            is_best = bounds.are_reached(self.seats, level)
            if not is_best:
                if model is None:
                    model = self._model(levels_held=level)
                is_best = self._search(model, level_terms(model, level))
            proved += is_best and proved == level
            if model is not None:
                self._hold(model, level)
        return proved

    def least_moved(self) -> None:
        """Fewer steps moved from the standing plan, with every level as good as it is now. Those that move all
        the same keep their person and their station where they can.
        """
        if score(self.day, self.seats).minus_moved == 0 or self.budget.is_spent:
            return
        model = self._model(levels_held=LEVELS, tells_apart=True)
        same = Counter(model.same_people_and_stations())
        weights = Counter(dict.fromkeys(model.unmoved(), same.total() + 1)) + same
        self._search(model, [(-weight, flag) for flag, weight in weights.items()])

    def _model(self, levels_held: int, *, tells_apart: bool = False) -> DayModel:
        model = DayModel(self.floor, self.running, tells_apart=tells_apart)
        for level in range(levels_held):
            self._hold(model, level)
        return model

    def _hold(self, model: DayModel, level: int) -> None:
        """No plan from now on is worse on this level than these seats."""
        if terms := level_terms(model, level):
            model.model.sum_within(terms, [(-UNBOUNDED, _sum(terms, model.hint(self.seats)))])

    def _search(self, model: DayModel, terms: WeightedSum) -> bool:
        """Whether these seats, made better if they can be, are proved the best of this level."""
        if not terms:
            return True
        if self.budget.is_spent:
            return False
        hint = model.hint(self.seats)
        solved = model.model.minimised(terms, hint, work_s=self.budget.work_s, wall_s=self.budget.wall_s)
        self.budget.take(solved)
        if solved.values:
            found = model.seats(solved.values)
            if score(self.day, found) >= score(self.day, self.seats):
                self.seats = found
        return solved.outcome is SolverOutcome.BEST and _sum(terms, model.hint(self.seats)) == solved.value


def _sum(terms: WeightedSum, values: Mapping[int, int]) -> int:
    return sum(factor * values[variable] for factor, variable in terms)


def level_terms(model: DayModel, level: int) -> WeightedSum:
    """The level's sum, to be made as small as possible. Empty if nothing of it is left to decide."""
    jobs = model.day.jobs
    if level == 0:
        return [(-1, flag) for flag in model.kept.values()]
    if level == 1:
        return [(-1, flag) for flag in model.guarded.values()]
    if level == 2:
        return [(-job.worth, model.last[job.id].here) for job in jobs if job.worth and job.id in model.last]
    if level == 3:
        return [(1, step.begin) for step in model.last.values()]
    checks = [step for step in model.steps.values() if step.job.steps[step.index].check]
    parts = [(round((1 - step.job.ready) * RISK_PARTS), model.cost_of_beginning(step)) for step in checks]
    common = gcd(*(part for part, _ in parts)) or 1
    return [(part // common, variable) for part, variable in parts if part]
