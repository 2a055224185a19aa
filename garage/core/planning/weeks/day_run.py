"""A drawn day worked through by events: what was planned begins, ends early or late, fails its check, does not come.

At each event that the plan did not foresee the rest of the day is planned again. What has begun stays where it is.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace

from garage.core.planning.day_problem import BENCH, ROLLER, DayProblem, Job, JobStep, Pin, Placed
from garage.core.planning.day_rules import LATE_MIN
from garage.core.planning.weeks.drawn_weeks import DrawnDay, DrawnMachine, steps_of

Replanning = Callable[[DayProblem], tuple[Placed, ...]]
ASK_AGAIN_MIN = 5  # after a machine that should be here is not, until its time counts as not come
EVENTS_MOST = 2000  # of a day; a run that reaches it is a fault of the program


@dataclass(frozen=True, slots=True)
class RollerStay:
    """Minutes of one machine on the rollers. is_lost: it was not ready, and nothing came of it."""

    machine: str
    roller: int
    begin: int
    end: int
    is_lost: bool = False


@dataclass(frozen=True, slots=True)
class DayRun:
    """What became of a day. plans: how often it was planned."""

    day: DrawnDay
    stays: tuple[RollerStay, ...]
    plans: int = 0


@dataclass(slots=True)
class _Machine:
    """A machine while the day runs. ends: when its running step will really be over."""

    drawn: DrawnMachine
    steps: list[JobStep]
    here_from: int
    ready: float
    ends: int | None = None
    is_away: bool = False

    @property
    def next_step(self) -> int:
        return next((i for i, step in enumerate(self.steps) if step.began is None), len(self.steps))

    @property
    def running(self) -> int | None:
        return next((i for i, step in enumerate(self.steps) if step.is_running), None)

    @property
    def is_over(self) -> bool:
        return self.is_away or all(step.ended is not None for step in self.steps)

    def job(self) -> Job:
        one = self.drawn
        return Job(one.id, self.here_from, tuple(self.steps), None, one.promised, one.worth_pence, self.ready)


@dataclass(slots=True)
class _Running:
    day: DrawnDay
    replan: Replanning
    guard_min: int
    machines: dict[str, _Machine]
    plan: tuple[Placed, ...] = ()
    plans: int = 0
    stays: list[RollerStay] = field(default_factory=list)
    station: dict[str, tuple[str, int]] = field(default_factory=dict)

    def planned_anew(self, now: int) -> None:
        jobs = tuple(one.job() for one in self.machines.values() if not one.is_over)
        self.plan = self.replan(replace(self.day.empty, now=now, jobs=jobs, guard=self.guard_min, standing=self.plan))
        self.plans += 1

    def end_what_is_over(self, now: int) -> bool:
        """Whether anything ended otherwise than planned."""
        is_new = False
        for one in self.machines.values():
            index = one.running
            if index is None or one.ends is None or one.ends > now:
                continue
            step = one.steps[index]
            one.steps[index] = replace(step, ended=one.ends)
            is_new |= (step.began or 0) + step.minutes != one.ends
            if step.check:
                one.ready = 1.0
                if not one.drawn.is_ready:
                    one.steps.insert(index + 1, JobStep(BENCH, self.day.workshop.fix_min))
                    is_new = True
            one.ends = None
        return is_new

    def begin_what_is_due(self, now: int) -> bool:
        """Whether something that was due could not begin."""
        running = [one for one in self.machines.values() if one.running is not None]
        people = {one.steps[one.running].by for one in running if one.running is not None}
        stations = {self.station[one.drawn.id] for one in running}
        for placed in self.plan:
            one = self.machines[placed.job]
            if placed.begin != now or one.is_over or placed.step < one.next_step:
                continue
            if placed.step > one.next_step or one.running is not None:
                return True
            if not one.drawn.comes:
                self._not_here(one, now)
                return True
            if placed.by in people or (placed.at, placed.station) in stations:
                return True
            self._begin(one, placed)
            people.add(placed.by)
            stations.add((placed.at, placed.station))
        return False

    def _not_here(self, one: _Machine, now: int) -> None:
        one.here_from = now + ASK_AGAIN_MIN
        one.is_away = now >= (one.drawn.promised or 0) + LATE_MIN

    def _begin(self, one: _Machine, placed: Placed) -> None:
        step = one.steps[placed.step]
        real = one.drawn.real
        minutes = real.roller if step.at == ROLLER else real.check if step.check else real.fix
        one.steps[placed.step] = replace(step, began=placed.begin, by=placed.by, pin=Pin(placed.station))
        one.ends = placed.begin + minutes
        self.station[one.drawn.id] = (placed.at, placed.station)
        if step.at == ROLLER:
            self.stays.append(RollerStay(one.drawn.id, placed.station, placed.begin, one.ends))

    def next_event(self, now: int) -> int | None:
        """When something is over, or something planned is due."""
        ends = [one.ends for one in self.machines.values() if one.ends is not None]
        due = [placed.begin for placed in self.plan if placed.begin > now]
        return min(ends + due, default=None)


def run_replanned(day: DrawnDay, replan: Replanning, guard_min: int) -> DayRun:
    """The day under a planner that is asked again at every event. guard_min: clear before a promise."""
    shop = day.workshop
    machines = {one.id: _Machine(one, list(steps_of(one, shop)), one.here_from, one.ready) for one in day.machines}
    running = _Running(day, replan, guard_min, machines)
    now: int | None = shop.opens
    running.planned_anew(shop.opens)
    for _ in range(EVENTS_MOST):
        if now is None:
            return DayRun(day, tuple(running.stays), running.plans)
        if running.end_what_is_over(now):
            running.planned_anew(now)
        while running.begin_what_is_due(now):
            running.planned_anew(now)
        now = running.next_event(now)
    raise RuntimeError("a drawn day does not come to its end")
