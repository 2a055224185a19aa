"""The rows of some days as plain values: people with their hours, stations, visits with their steps, and open holds
where times are sold.

Several days are read with the same few queries. core/planning/day_rules.py decides what of a visit belongs to which
day. This module only reads rows and turns them into the values those rules take.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

from django.db.models import Prefetch, Q, QuerySet

from garage.core import states
from garage.core.money import to_pence
from garage.core.planning.day_problem import DayProblem, Job, Worker
from garage.core.planning.day_rules import (
    DayAt,
    VisitStep,
    VisitToPlan,
    job_of,
    people_of,
    skills_of,
    standing_day,
    step_now,
)
from garage.core.selling.free_times import Wanted, job_at, known_visit, new_visit
from garage.core.time.day_minutes import minute_of
from garage.core.time.local_time import LocalTime
from garage.core.time.open_days import OpenDays
from garage.models.people import Away, Person, WorkingHours
from garage.models.shop import BENCH, ROLLER, Shop, Station, VisitKind
from garage.models.visits import Hold, Step, Visit
from garage.reads.opening import open_days


@dataclass(frozen=True)
class DaysRead:
    """A stretch of days as of now."""

    shop: Shop
    first: date
    last: date
    now: datetime
    local: LocalTime
    opening: OpenDays
    stations: dict[str, int]
    people: tuple[Person, ...]
    names: dict[int, str]  # the plan's name of each person, by id
    visits: dict[date, list[VisitToPlan]]

    @property
    def today(self) -> date:
        return self.local.day(self.now)


@dataclass(frozen=True)
class DaysToSell(DaysRead):
    """held: open holds as the jobs they would be once sold."""

    held: dict[date, list[Job]]


def problem_of(read: DaysRead, day: date) -> DayProblem:
    """The problem of one of the days read as the workshop sees it: without times that are only held."""
    return _problem(read, day, read.visits.get(day, []))


def _problem(read: DaysRead, day: date, visits: Sequence[VisitToPlan]) -> DayProblem:
    seen = DayAt(day, read.now, read.local)
    return DayProblem(
        day=day.isoformat(),
        now=seen.now_minute,
        rollers=read.stations.get(ROLLER, 0),
        benches=read.stations.get(BENCH, 0),
        people=people_of(_workers(read, day), visits),
        jobs=tuple(job for visit in visits if (job := job_of(visit, seen)).steps),
        guard=read.shop.guard_minutes,
        quiet_rollers=read.opening.quiet_rollers(day),
    )


def problem_with_holds(read: DaysToSell, day: date) -> DayProblem:
    """The problem with every open hold as if it were sold: what a new sale must not break.

    An agreed time that is only a wish (core/roller_rule.py) is kept from others as the promise it was, until it is
    given back with the route: what is found today may be found otherwise tomorrow.
    """
    made = _problem(read, day, [replace(visit, must_not_run=()) for visit in read.visits.get(day, [])])
    return replace(made, jobs=(*made.jobs, *read.held.get(day, [])))


def read_days(first: date, last: date, now: datetime, shop: Shop, *, leaving_out: Visit | None = None) -> DaysRead:
    """first, last: local days, inclusive."""
    rows = list(_visits(shop, first, last, now, leaving_out))
    return days_of(rows, first, last, now, opening=open_days(shop, first, last), shop=shop)


def days_of(
    rows: Iterable[Visit], first: date, last: date, now: datetime, *, opening: OpenDays, shop: Shop
) -> DaysRead:
    """The same of rows that a page has read with their steps, be they more than those to plan. opening: from first to
    last at least.
    """
    local = shop.local_time
    people = tuple(_people(first, last))
    shared_names = _shared_names(people)
    to_plan = [row for row in rows if _is_open(row) and first <= _day_of(row, now, local) <= last]
    return DaysRead(
        shop=shop,
        first=first,
        last=last,
        now=now,
        local=local,
        opening=opening,
        stations=dict(Counter(Station.objects.values_list("kind", flat=True))),
        people=people,
        names=_names(people, to_plan, shared_names),
        visits=_by_day(to_plan, shared_names, now, local),
    )


def read_days_to_sell(
    first: date, last: date, now: datetime, shop: Shop, *, leaving_out: Visit | None = None, not_held_by: str = ""
) -> DaysToSell:
    """The days with what is held of them. not_held_by: the browser whose own hold is ignored."""
    read = read_days(first, last, now, shop, leaving_out=leaving_out)
    return DaysToSell(**vars(read), held=_held_by_day(shop, first, last, now, not_held_by))


def _people(first: date, last: date) -> QuerySet[Person]:
    away = Away.objects.filter(first_day__lte=last, last_day__gte=first)
    able = Person.objects.filter(Q(does_bench=True) | Q(does_rollers=True), is_active=True)
    return able.prefetch_related("hours", Prefetch("away", queryset=away)).order_by("id")


def _visits(shop: Shop, first: date, last: date, now: datetime, leaving_out: Visit | None) -> QuerySet[Visit]:
    local = shop.local_time
    start, end = local.bounds(first, last)
    wanted = Q(starts_at__gte=start, starts_at__lt=end)
    today = local.day(now)
    if first <= today <= last:
        since_before = Q(starts_at=None) | Q(starts_at__lt=local.at_minute(today, 0))
        wanted |= Q(arrived_at__isnull=False) & since_before
    rows = Visit.objects.filter(wanted, state__in=states.OPEN)
    if leaving_out is not None:
        rows = rows.exclude(pk=leaving_out.pk)
    return rows.prefetch_related(Prefetch("steps", queryset=steps_with_people())).order_by("number")


def steps_with_people() -> QuerySet[Step]:
    return Step.objects.select_related("by", "pin_by")


def _by_day(
    visits: Iterable[Visit], shared_names: frozenset[str], now: datetime, local: LocalTime
) -> dict[date, list[VisitToPlan]]:
    out: dict[date, list[VisitToPlan]] = defaultdict(list)
    for visit in visits:
        out[_day_of(visit, now, local)].append(visit_to_plan(visit, visit.steps.all(), shared_names))
    return out


def _is_open(visit: Visit) -> bool:
    """Neither over nor without both a time and an arrival."""
    return visit.state in states.OPEN and (visit.starts_at or visit.arrived_at) is not None


def _day_of(visit: Visit, now: datetime, local: LocalTime) -> date:
    return standing_day(visit.starts_at, visit.arrived_at, local.day(now), local)


def _held_by_day(shop: Shop, first: date, last: date, now: datetime, not_held_by: str) -> dict[date, list[Job]]:
    local = shop.local_time
    start, end = local.bounds(first, last)
    rows = Hold.objects.filter(expires_at__gt=now, starts_at__gte=start, starts_at__lt=end).select_related("kind")
    out: dict[date, list[Job]] = defaultdict(list)
    for hold in rows.exclude(browser=not_held_by):
        job = job_at(
            wanted_of(hold.kind, shop, hold.minutes), local.minute_of_day(hold.starts_at), id=f"hold {hold.pk}"
        )
        out[local.day(hold.starts_at)].append(job)
    return out


def wanted_of(kind: VisitKind, shop: Shop, minutes: int | None = None) -> Wanted:
    """What a booking of this kind needs of the day. minutes: of a hold; fewer are what is left of a time, for a machine
    that is here and through the gate.
    """
    if minutes is not None and minutes < kind.minutes:
        return known_visit(kind.at, minutes, 0, 0, has_passed_gate=True, is_here=True)
    return new_visit(kind.at, kind.minutes, shop.gate_minutes, shop.strap_minutes)


def visit_to_plan(visit: Visit, steps: Iterable[Step], shared_names: frozenset[str] = frozenset()) -> VisitToPlan:
    """The row and its steps as the values that the day's rules take."""
    return VisitToPlan(
        number=visit.number,
        state=visit.state,
        steps=tuple(_visit_step(step, visit.state, shared_names) for step in steps),
        route=visit.route,
        must_not_run=tuple(visit.must_not_run),
        at=visit.at,
        starts_at=visit.starts_at,
        arrived_at=visit.arrived_at,
        has_passed_gate=visit.gate_passed_at is not None,
        worth=to_pence(visit.price),
        ready=visit.ready_chance,
    )


def _visit_step(step: Step, state: str, shared_names: frozenset[str]) -> VisitStep:
    return VisitStep(
        at=step.at,
        minutes=step.minutes,
        is_check=step.is_check,
        strap_min=step.strap_minutes,
        strapped_from=step.strapped_from if state == states.ON_THE_ROLLERS else None,
        began_at=step.began_at,
        by=_name(step.by, shared_names),
        ended_at=step.ended_at,
        pin_station=step.pin_station,
        pin_by=_name(step.pin_by, shared_names),
        pin_begins_at=step.pin_begins_at,
        id=step.pk,
        what=step.what,
        station=step.station,
    )


def _name(person: Person | None, shared_names: frozenset[str]) -> str | None:
    """The plan's name for the person: the name, with the log-in if two people share it."""
    if person is None:
        return None
    return f"{person.name} ({person.username})" if person.name in shared_names else person.name


def _shared_names(people: Sequence[Person]) -> frozenset[str]:
    counts = Counter(person.name for person in people)
    return frozenset(name for name, count in counts.items() if count > 1)


def _names(people: Iterable[Person], visits: Iterable[Visit], shared_names: frozenset[str]) -> dict[int, str]:
    """Those at work without skills or a log-in of today included."""
    at_work = (step.by for visit in visits for step in visit.steps.all())
    return {person.pk: _name(person, shared_names) or "" for person in (*people, *filter(None, at_work))}


def _workers(read: DaysRead, day: date) -> list[Worker]:
    """Who works that day. Nobody while the garage is closed."""
    if read.opening.why_closed(day):
        return []
    return [
        _worker(person, hours, read.names)
        for person in read.people
        for hours in person.hours.all()
        if hours.weekday == day.weekday()
        if not any(away.first_day <= day <= away.last_day for away in person.away.all())
    ]


def _worker(person: Person, hours: WorkingHours, names: Mapping[int, str]) -> Worker:
    breaks: tuple[tuple[int, int], ...] = ()
    if hours.break_begins and hours.break_ends:
        breaks = ((minute_of(hours.break_begins), minute_of(hours.break_ends)),)
    return Worker(
        id=names[person.pk],
        begin=minute_of(hours.begins),
        end=minute_of(hours.ends),
        breaks=breaks,
        skills=skills_of(does_bench=person.does_bench, does_rollers=person.does_rollers),
    )


def step_of_now(visit: Visit, steps: Sequence[Step]) -> Step | None:
    """The running or next step of a machine in the building. steps: all of the visit's, in order."""
    index = step_now(visit_to_plan(visit, steps))
    return None if index is None else steps[index]


def name_in_plan(read: DaysRead, person: Person | None) -> str | None:
    return _name(person, _shared_names(read.people))
