"""What is set by hand on the day sheet: every step that can be, what is fixed now, and what each pin costs the day."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

from garage.core import roller_rule
from garage.core.planning import planner
from garage.core.planning.day_problem import DayProblem
from garage.core.planning.standing.plan_cost import cost_of
from garage.core.roller_rule import RollerAct
from garage.core.time.local_time import LocalTime
from garage.models.shop import ROLLER, Shop
from garage.models.visits import Step, Visit
from garage.pages.day_sheet import DayPage
from garage.reads.day_problem import DaysRead, problem_of, read_days
from garage.reads.pinned_days import HandPin, check_can_be_fixed, day_with_pin, is_planned_so
from garage.reads.roller_facts import roller_facts_of

COSTS_MOST = 6  # pins whose cost a page works out, a plan each; of the others the button says it
COST_LIMIT_S = 0.5  # for one plan of several that a page waits for; a usual day takes a tenth
NOT_PLANNED_SO = "The plan takes no account of it now."
UNSURE = "The day is too full to be sure of it."
PROVED_LEAST = 3  # levels: promises, clear minutes and worth; with fewer proved a cost may be wrong


@dataclass(frozen=True)
class StepToSet:
    """A step that a person can still fix. begin: as planned now, empty if it has no place in the day."""

    number: int
    step: Step
    begin: str


@dataclass(frozen=True)
class PinStanding:
    """says: what is fixed. cost: what it costs the day now, in sentences; empty where a page has too many pins."""

    number: int
    step: Step
    says: str
    cost: str


@dataclass(frozen=True)
class ByHand:
    steps: tuple[StepToSet, ...]
    pins: tuple[PinStanding, ...]


def by_hand(page: DayPage, shop: Shop, *, now: datetime) -> ByHand:
    """Nothing of a day that is over. Only where a pin stands is the day planned again."""
    if page.day < shop.local_time.day(now):
        return ByHand((), ())
    pinned = [(visit, step) for visit in page.visits for step in visit.steps.all() if _is_pinned(step)]
    planned = {row.step.pk for row in page.nexts}
    steps = [StepToSet(row.number, row.step, row.begin) for row in page.nexts if not row.is_running]
    steps += [StepToSet(visit.number, step, "") for visit, step in pinned if step.pk not in planned]
    return ByHand(tuple(steps), tuple(_standing(page, pinned, shop.local_time)))


def what_it_costs(step: Step, day: date, pin: HandPin, shop: Shop, *, now: datetime) -> str:
    """Sentences on what the day loses if the step is fixed so. Raises Refused as fixing it would."""
    check_can_be_fixed(step, pin, now=now)
    if step.at == ROLLER and not pin.is_empty:
        roller_rule.check(RollerAct.BE_PLANNED, roller_facts_of(step.visit))
    read = read_days(day, day, now, shop)
    place = [one.pk for one in step.visit.steps.all()].index(step.pk)
    free, fixed = (day_with_pin(read, day, step, place, one) for one in (HandPin(), pin))
    return _cost(free, fixed) if pin.is_empty or is_planned_so(fixed, step, place) else NOT_PLANNED_SO


def _standing(page: DayPage, pinned: Sequence[tuple[Visit, Step]], local: LocalTime) -> Iterator[PinStanding]:
    read, day = page.read, page.day
    for nth, (visit, step) in enumerate(pinned):
        place = [one.pk for one in visit.steps.all()].index(step.pk)
        cost = _cost_now(read, day, step, place) if nth < COSTS_MOST else ""
        yield PinStanding(visit.number, step, _says(step, day, local), cost)


def _cost_now(read: DaysRead, day: date, step: Step, place: int) -> str:
    fixed = problem_of(read, day)
    if not is_planned_so(fixed, step, place):
        return NOT_PLANNED_SO
    return _cost(day_with_pin(read, day, step, place, HandPin()), fixed)


def _cost(free: DayProblem, fixed: DayProblem) -> str:
    plans = [planner.plan(replace(day, limit_s=COST_LIMIT_S)) for day in (free, fixed)]
    sentence = cost_of(free, *plans).sentence
    return sentence if min(made.proved for made in plans) >= PROVED_LEAST else f"{sentence} {UNSURE}"


def _is_pinned(step: Step) -> bool:
    return step.began_at is None and bool(step.pin_station or step.pin_by or step.pin_begins_at)


def _says(step: Step, day: date, local: LocalTime) -> str:
    begins = local.shown(step.pin_begins_at) if step.pin_begins_at else None
    parts = (
        "" if begins is None else f"{begins:%H:%M}" if begins.date() == day else f"{begins:%H:%M on {begins.day} %B}",
        f"{step.at} {step.pin_station}" if step.pin_station else "",
        step.pin_by.name if step.pin_by else "",
    )
    return ", ".join(part for part in parts if part)
