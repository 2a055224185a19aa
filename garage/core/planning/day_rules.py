"""Which part of a visit belongs to a day: what is due or pinned, when the machine is here, what may begin, what is in
doubt.

The plan, the drawing, the day sheet and the changes all use these rules. Only garage/reads/day_problem.py turns rows
into these values.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from enum import Enum
from itertools import takewhile

from garage.core import routes, states
from garage.core.planning.day_problem import BENCH, IN_DOUBT_BELOW, ROLLER, Job, JobStep, Pin, Worker
from garage.core.roller_rule import RollerAct, RollerFacts, stop_for
from garage.core.time.day_minutes import DAY_MIN
from garage.core.time.local_time import LocalTime

ARRIVE_BEFORE_MIN = 30  # minutes before the rollers at which the owner is asked to arrive; common practice, no source
LATE_MIN = 15  # min after the agreed time before a missing visit is pointed out. Common practice, no source
NOT_WORKED_ON = frozenset({states.READY, states.WAITING_FOR_PARTS, states.WAITING_FOR_OWNER})


@dataclass(frozen=True, slots=True)
class VisitStep:
    """One stretch of work of a visit. by, pin_by: the plan's name for the person. Times are aware instants.

    id: of its row. what: as the workshop calls it. station: where it is done or was, once it has begun.

    strap_min: minutes on the rollers before a session, for straps and the gate's second part. strapped_from: since when
    the machine stands there.
    """

    at: str
    minutes: int
    is_check: bool = False
    began_at: datetime | None = None
    by: str | None = None
    ended_at: datetime | None = None
    pin_station: int | None = None
    pin_by: str | None = None
    pin_begins_at: datetime | None = None
    strap_min: int = 0
    strapped_from: datetime | None = None
    id: int | None = None
    what: str = ""
    station: int | None = None

    @property
    def at_station_from(self) -> datetime | None:
        """When it took its station: a machine is on the rollers from its strapping on, before the session begins."""
        return self.strapped_from or self.began_at


@dataclass(frozen=True, slots=True)
class VisitToPlan:
    """The parts of a visit that the day depends on. at, starts_at: the agreed time, "" and None without one.

    worth: pence. ready: chance, 0 to 1, that it passes its gate. must_not_run: the findings that say so, as sentences.
    """

    number: int
    state: str
    steps: tuple[VisitStep, ...]
    route: str = ""
    must_not_run: tuple[str, ...] = ()
    at: str = ""
    starts_at: datetime | None = None
    arrived_at: datetime | None = None
    has_passed_gate: bool = False
    worth: int = 0
    ready: float = 1.0

    @property
    def is_in_doubt(self) -> bool:
        """Whether it may well fail a gate that is still ahead."""
        return self.ready < IN_DOUBT_BELOW and not self.has_passed_gate

    @property
    def roller_facts(self) -> RollerFacts:
        return RollerFacts(self.number, self.state, self.must_not_run, self.route, has_passed_gate=self.has_passed_gate)

    @property
    def may_be_planned_on_the_rollers(self) -> bool:
        return stop_for(RollerAct.BE_PLANNED, self.roller_facts) is None


@dataclass(frozen=True, slots=True)
class DayAt:
    """A local day seen at one instant."""

    day: date
    now: datetime
    local: LocalTime

    @property
    def now_minute(self) -> int:
        """0 on a day to come, 1440 on a past one."""
        return self.minute(self.now)

    def has(self, at: datetime | None) -> bool:
        return at is not None and self.local.day(at) == self.day

    def minute(self, at: datetime) -> int:
        """The minute of this day. Earlier instants give its beginning, later ones its end."""
        return min(max(self.local.minute_from(self.day, at), 0), DAY_MIN)


def standing_day(starts_at: datetime | None, arrived_at: datetime | None, today: date, local: LocalTime) -> date:
    """The day whose plan the visit belongs to: that of its agreed time.

    A machine in the building belongs to today if it has no agreed time or the time is past.
    """
    if starts_at is None:
        return today
    agreed = local.day(starts_at)
    return today if arrived_at is not None and agreed < today else agreed


def arrive_at(at: str, starts_at: datetime) -> datetime:
    """When the owner is asked to arrive: half an hour before the rollers, for the gate, or at the agreed bench time."""
    return starts_at - timedelta(minutes=ARRIVE_BEFORE_MIN if at == ROLLER else 0)


def is_overdue(state: str, starts_at: datetime | None, now: datetime) -> bool:
    """Whether its time has begun and it is not here."""
    return state in states.COMING and starts_at is not None and starts_at <= now


def is_late(state: str, starts_at: datetime | None, now: datetime) -> bool:
    """Whether it is so overdue that somebody should ask after it."""
    return is_overdue(state, starts_at, now - timedelta(minutes=LATE_MIN))


def job_of(visit: VisitToPlan, day: DayAt) -> Job:
    """The visit as one job of the day, without steps if none is due.

    An agreed roller time of a machine that must not run is a wish: it is no promise, and nothing is planned for it.
    """
    starts = day.minute(visit.starts_at) if visit.starts_at is not None and day.has(visit.starts_at) else None
    steps = tuple(_job_step(step, visit, day) for step in due_steps(visit, day))
    if starts is not None and visit.at == BENCH and starts >= day.now_minute:
        steps = _pinned_to(steps, starts)
    return Job(
        id=str(visit.number),
        here_from=_here_from(visit, steps, starts, day),
        steps=steps,
        promised=starts if visit.at == ROLLER and visit.may_be_planned_on_the_rollers else None,
        worth=visit.worth,
        ready=visit.ready,
    )


def due_steps(visit: VisitToPlan, day: DayAt) -> tuple[VisitStep, ...]:
    """The visit's first steps that belong to this day: begun, or to be done on it."""
    is_agreed = day.has(visit.starts_at)
    return tuple(takewhile(lambda step: _is_due(step, visit, is_agreed), visit.steps))


def _is_due(step: VisitStep, visit: VisitToPlan, is_agreed: bool) -> bool:
    if step.at_station_from:
        return True
    if visit.state in NOT_WORKED_ON and not (is_agreed and visit.state != states.READY):
        return False
    if not visit.may_be_planned_on_the_rollers:
        return step.at == BENCH and not step.is_check
    if visit.route in routes.TO_FIX and not visit.has_passed_gate and not (is_agreed and visit.at == ROLLER):
        return step.at == BENCH and not step.is_check
    return True


def station_min(step: VisitStep, *, has_passed_gate: bool) -> int:
    """Minutes that the step takes at its station, those of strapping down included while they count.

    >>> station_min(VisitStep("roller", 90, strap_min=5), has_passed_gate=False)
    95
    >>> station_min(VisitStep("roller", 90, strap_min=5), has_passed_gate=True)
    90
    """
    if step.strapped_from and step.began_at:
        return step.minutes + max(0, int((step.began_at - step.strapped_from).total_seconds()) // 60)
    return step.minutes if has_passed_gate and not step.strapped_from else step.minutes + step.strap_min


def _job_step(step: VisitStep, visit: VisitToPlan, day: DayAt) -> JobStep:
    """A pin whose time has passed is dropped, because the planner could not place it. Running work is fixed to its
    station.
    """
    there = step.at_station_from
    begin = day.minute(step.pin_begins_at) if step.pin_begins_at is not None and day.has(step.pin_begins_at) else None
    is_running = there is not None and step.ended_at is None
    return JobStep(
        at=step.at,
        minutes=station_min(step, has_passed_gate=visit.has_passed_gate),
        check=step.is_check,
        began=None if there is None else day.minute(there),
        by=step.by,
        ended=None if step.ended_at is None else day.minute(step.ended_at),
        pin=Pin(
            step.station if is_running else step.pin_station,
            step.pin_by,
            begin if begin is not None and begin >= day.now_minute else None,
        ),
    )


def _pinned_to(steps: tuple[JobStep, ...], starts: int) -> tuple[JobStep, ...]:
    """The agreed bench time pins the first step not begun, unless work began today or a person fixed another time."""
    index = next((index for index, step in enumerate(steps) if step.began is None), None)
    if index is None or steps[index].pin.begin is not None or any(step.began for step in steps):
        return steps
    pinned = replace(steps[index], pin=replace(steps[index].pin, begin=starts))
    return (*steps[:index], pinned, *steps[index + 1 :])


def _here_from(visit: VisitToPlan, steps: Sequence[JobStep], starts: int | None, day: DayAt) -> int:
    if visit.arrived_at is not None:
        return day.minute(visit.arrived_at)
    if starts is None or visit.at == BENCH:
        return starts or 0
    bench_before = sum(step.minutes for step in steps if step.at == BENCH and not step.check and step.began is None)
    return max(0, starts - ARRIVE_BEFORE_MIN - bench_before)


def people_of(workers: Iterable[Worker], visits: Iterable[VisitToPlan]) -> tuple[Worker, ...]:
    """Everybody with hours that day, then anybody who is working on a step without having hours."""
    there = tuple(workers)
    known = {worker.id for worker in there}
    at_work = {step.by for visit in visits for step in visit.steps if step.by and not step.ended_at}
    return (*there, *(Worker(name, 0, 0) for name in sorted(at_work - known)))


class NotYet(Enum):
    """Why a step may not begin: the first reason that applies."""

    BEGUN = "begun"
    NOT_HERE = "not here"
    KEPT_OFF = "kept off the rollers"
    NO_SKILL = "no skill"
    NOT_ITS_TURN = "not its turn"


def why_not_yet(visit: VisitToPlan, index: int, skills: frozenset[str]) -> NotYet | None:
    """Why the index-th step of the visit may not begin now. None if it may. skills: of the person who would begin it.

    >>> rollers = VisitToPlan(41, states.HERE, (VisitStep("roller", 90),))
    >>> why_not_yet(rollers, 0, frozenset({"roller"}))
    <NotYet.KEPT_OFF: 'kept off the rollers'>
    """
    step = visit.steps[index]
    if step.began_at:
        return NotYet.BEGUN
    if visit.state not in states.IN_THE_BUILDING:
        return NotYet.NOT_HERE
    if step.at == ROLLER and stop_for(RollerAct.GO_ON, visit.roller_facts):
        return NotYet.KEPT_OFF
    if step.at not in skills:
        return NotYet.NO_SKILL
    return None if index == step_now(visit) else NotYet.NOT_ITS_TURN


def step_now(visit: VisitToPlan) -> int | None:
    """Index of the running or next step of a machine in the building."""
    if visit.state not in states.IN_THE_BUILDING:
        return None
    return next((index for index, step in enumerate(visit.steps) if step.ended_at is None), None)


def skills_of(*, does_bench: bool, does_rollers: bool) -> frozenset[str]:
    return frozenset(kind for kind, does in ((BENCH, does_bench), (ROLLER, does_rollers)) if does)
