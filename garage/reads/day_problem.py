"""A day as the planner sees it, made from the rows: people's hours, stations, visits with their steps, open holds.

Several days are read at once with the same handful of queries. A visit stands in the day of its agreed time; a machine
in the building without one, or whose time has gone by, stands in today.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from itertools import takewhile
from zoneinfo import ZoneInfo

from django.db.models import Prefetch, Q, QuerySet

from garage.core import routes, states
from garage.core.money import to_pence
from garage.core.planning import day_problem
from garage.core.selling.free_times import ARRIVE_BEFORE_MIN, Wanted, bench_visit, job_at, roller_visit
from garage.core.time import clock
from garage.core.time.open_days import OpenDays
from garage.models.people import Away, Person
from garage.models.shop import BENCH, ROLLER, Shop, Station, VisitKind
from garage.models.visits import Hold, Step, Visit
from garage.reads.opening import open_days
from garage.reads.shop import the_shop

TO_FIX = frozenset({routes.FIX_FIRST, routes.DO_NOT_RUN})
NOT_WORKED_ON = frozenset({states.READY, states.WAITING_FOR_PARTS, states.WAITING_FOR_OWNER})


@dataclass(frozen=True)
class DayRows:
    """All rows of a stretch of days. today: the local day of now."""

    shop: Shop
    zone: ZoneInfo
    now: datetime
    today: date
    opening: OpenDays
    stations: dict[str, int]
    people: tuple[Person, ...]
    visits: dict[date, list[Visit]]
    holds: dict[date, list[Hold]]


def planner_day(day: date, now: datetime, *, leaving_out: Visit | None = None) -> day_problem.DayProblem:
    """The planner's problem of one day as the workshop sees it: visits only, no time that is merely held open."""
    return day_of(read_days(day, day, now, leaving_out=leaving_out), day)


def read_days(
    first: date, last: date, now: datetime, *, leaving_out: Visit | None = None, not_held_by: str = ""
) -> DayRows:
    """first, last: local days, both included. not_held_by: the browser whose own hold does not count."""
    shop = the_shop()
    today = clock.local_day(now, clock.zone(shop.zone))
    return DayRows(
        shop=shop,
        zone=clock.zone(shop.zone),
        now=now,
        today=today,
        opening=open_days(shop, first, last),
        stations=dict(Counter(Station.objects.values_list("kind", flat=True))),
        people=tuple(_people(first, last)),
        visits=_by_day(_visits(shop, first, last, today, leaving_out), shop, today),
        holds=_holds_by_day(shop, first, last, now, not_held_by),
    )


def _people(first: date, last: date) -> QuerySet[Person]:
    away = Away.objects.filter(first_day__lte=last, last_day__gte=first)
    able = Person.objects.filter(Q(does_bench=True) | Q(does_rollers=True), is_active=True)
    return able.prefetch_related("hours", Prefetch("away", queryset=away)).order_by("id")


def _visits(shop: Shop, first: date, last: date, today: date, leaving_out: Visit | None) -> QuerySet[Visit]:
    start, end = clock.day_bounds(first, clock.zone(shop.zone))[0], clock.day_bounds(last, clock.zone(shop.zone))[1]
    wanted = Q(starts_at__gte=start, starts_at__lt=end)
    if first <= today <= last:
        today_start = clock.day_bounds(today, clock.zone(shop.zone))[0]
        wanted |= Q(arrived_at__isnull=False) & (Q(starts_at=None) | Q(starts_at__lt=today_start))
    rows = Visit.objects.filter(wanted).exclude(state__in=states.OVER)
    if leaving_out is not None:
        rows = rows.exclude(pk=leaving_out.pk)
    steps = Step.objects.select_related("by", "pin_by")
    return rows.prefetch_related(Prefetch("steps", queryset=steps)).order_by("number")


def _by_day(visits: Iterable[Visit], shop: Shop, today: date) -> dict[date, list[Visit]]:
    out: dict[date, list[Visit]] = defaultdict(list)
    for visit in visits:
        agreed = clock.local_day(visit.starts_at, clock.zone(shop.zone)) if visit.starts_at else None
        here_since_before = visit.arrived_at is not None and (agreed is None or agreed < today)
        out[today if here_since_before or agreed is None else agreed].append(visit)
    return out


def _holds_by_day(shop: Shop, first: date, last: date, now: datetime, not_held_by: str) -> dict[date, list[Hold]]:
    start, end = clock.day_bounds(first, clock.zone(shop.zone))[0], clock.day_bounds(last, clock.zone(shop.zone))[1]
    rows = Hold.objects.filter(expires_at__gt=now, starts_at__gte=start, starts_at__lt=end).select_related("kind")
    out: dict[date, list[Hold]] = defaultdict(list)
    for hold in rows.exclude(browser=not_held_by):
        out[clock.local_day(hold.starts_at, clock.zone(shop.zone))].append(hold)
    return out


def day_of(rows: DayRows, day: date) -> day_problem.DayProblem:
    """The problem of one of the days read, its open holds left aside."""
    now = _now_minute(rows, day)
    people = [made for person in rows.people if (made := _worker(rows, person, day))]
    visits = rows.visits.get(day, [])
    known = {person.id for person in people}
    at_work = {
        _name(rows, step.by) or "" for visit in visits for step in visit.steps.all() if step.by and not step.ended_at
    }
    off = tuple(day_problem.Worker(name, 0, 0) for name in sorted(at_work - known))
    return day_problem.DayProblem(
        day=day.isoformat(),
        now=now,
        rollers=rows.stations.get(ROLLER, 0),
        benches=rows.stations.get(BENCH, 0),
        people=(*people, *off),
        jobs=tuple(job for visit in visits if (job := _job(rows, visit, day, now)).steps),
        guard=rows.shop.guard_minutes,
    )


def day_with_holds(rows: DayRows, day: date) -> day_problem.DayProblem:
    """The same with every open hold standing as if it were sold: what selling must not break."""
    made = day_of(rows, day)
    held = tuple(
        job_at(wanted_of(hold.kind, rows.shop), clock.minute_of_day(hold.starts_at, rows.zone), id=f"hold {hold.pk}")
        for hold in rows.holds.get(day, [])
    )
    return replace(made, jobs=(*made.jobs, *held))


def wanted_of(kind: VisitKind, shop: Shop) -> Wanted:
    """What a booking of this kind needs of the day."""
    if kind.at == ROLLER:
        return roller_visit(kind.minutes, gate_min=shop.gate_minutes)
    return bench_visit(kind.minutes)


def wanted_for(visit: Visit, *, at: str, minutes: int, shop: Shop) -> Wanted:
    """What a time for a visit that exists already needs: no second gate, and no arriving when it is here."""
    if at == BENCH:
        return bench_visit(minutes)
    gate = () if visit.gate_passed_at else (day_problem.JobStep(BENCH, shop.gate_minutes, check=True),)
    before = day_problem.DAY_MIN if visit.arrived_at else ARRIVE_BEFORE_MIN
    return Wanted((*gate, day_problem.JobStep(ROLLER, minutes)), arrive_before_min=before)


def _name(rows: DayRows, person: Person | None) -> str | None:
    """What the plan calls a person: the name, with the log-in where two share it."""
    if person is None:
        return None
    is_shared = sum(other.name == person.name for other in rows.people) > 1
    return f"{person.name} ({person.username})" if is_shared else person.name


def _now_minute(rows: DayRows, day: date) -> int:
    if day == rows.today:
        return clock.minute_of_day(rows.now, rows.zone)
    return 0 if day > rows.today else day_problem.DAY_MIN


def _worker(rows: DayRows, person: Person, day: date) -> day_problem.Worker | None:
    """The person with the hours of that day; None when off, away, or the garage closed."""
    hours = next((row for row in person.hours.all() if row.weekday == day.weekday()), None)
    is_away = any(row.first_day <= day <= row.last_day for row in person.away.all())
    if hours is None or is_away or rows.opening.why_closed(day):
        return None
    breaks = ()
    if hours.break_begins and hours.break_ends:
        breaks = ((_minute_of(hours.break_begins), _minute_of(hours.break_ends)),)
    skills = {kind for kind, does in ((BENCH, person.does_bench), (ROLLER, person.does_rollers)) if does}
    return day_problem.Worker(
        id=_name(rows, person) or "",
        begin=_minute_of(hours.begins),
        end=_minute_of(hours.ends),
        breaks=breaks,
        skills=frozenset(skills),
    )


def _minute_of(moment: time) -> int:
    return moment.hour * 60 + moment.minute


def _job(rows: DayRows, visit: Visit, day: date, now: int) -> day_problem.Job:
    zone = rows.zone
    agreed = visit.starts_at is not None and clock.local_day(visit.starts_at, zone) == day
    starts = clock.minute_of_day(visit.starts_at, zone) if agreed else None
    steps = tuple(
        _step(rows, step, day, now) for step in takewhile(lambda step: _is_due(step, visit, agreed), visit.steps.all())
    )
    if starts is not None and visit.at == BENCH and starts >= now:
        steps = _pinned_to(steps, starts)
    return day_problem.Job(
        id=str(visit.number),
        here_from=_here_from(visit, steps, starts, day, zone),
        steps=steps,
        promised=starts if visit.at == ROLLER else None,
        worth=to_pence(visit.price),
        ready=visit.ready_chance,
    )


def _is_due(step: Step, visit: Visit, agreed: bool) -> bool:
    """Whether the step is part of this day: begun, or to be done on it. What is not due stands after what is."""
    if step.began_at:
        return True
    if visit.state in NOT_WORKED_ON and not (agreed and visit.state != states.READY):
        return False
    if visit.route in TO_FIX and not visit.gate_passed_at and not (agreed and visit.at == ROLLER):
        return step.at == BENCH and not step.is_check
    return True


def _step(rows: DayRows, step: Step, day: date, now: int) -> day_problem.JobStep:
    """A pin whose time has gone by is left aside: the planner could not place it any more."""
    zone = rows.zone
    begins = _minute_on(step.pin_begins_at, day, zone)
    is_stale = step.pin_begins_at is not None and clock.local_day(step.pin_begins_at, zone) != day
    return day_problem.JobStep(
        at=step.at,
        minutes=step.minutes,
        check=step.is_check,
        began=_minute_on(step.began_at, day, zone),
        by=_name(rows, step.by),
        ended=_minute_on(step.ended_at, day, zone),
        pin=day_problem.Pin(
            station=step.pin_station,
            by=_name(rows, step.pin_by),
            begin=None if begins is None or is_stale or begins < now else begins,
        ),
    )


def _minute_on(moment: datetime | None, day: date, zone: ZoneInfo) -> int | None:
    """The minute of that day; what lies on a day before is taken to its beginning."""
    if moment is None:
        return None
    other = clock.local_day(moment, zone)
    if other != day:
        return 0 if other < day else day_problem.DAY_MIN
    return clock.minute_of_day(moment, zone)


def _pinned_to(steps: tuple[day_problem.JobStep, ...], starts: int) -> tuple[day_problem.JobStep, ...]:
    """The agreed bench time on the first step that has not begun, unless a person fixed another."""
    index = next((i for i, step in enumerate(steps) if step.began is None), None)
    if index is None or steps[index].pin.begin is not None or any(step.began for step in steps):
        return steps
    first = steps[index]
    return (*steps[:index], replace(first, pin=replace(first.pin, begin=starts)), *steps[index + 1 :])


def _here_from(
    visit: Visit, steps: tuple[day_problem.JobStep, ...], starts: int | None, day: date, zone: ZoneInfo
) -> int:
    if visit.arrived_at:
        return _minute_on(visit.arrived_at, day, zone) or 0
    if starts is None or visit.at == BENCH:
        return starts or 0
    bench_before = sum(s.minutes for s in steps if s.at == BENCH and not s.check and s.began is None)
    return max(0, starts - ARRIVE_BEFORE_MIN - bench_before)


def horizon(shop: Shop, now: datetime) -> tuple[date, date]:
    """The first and last local day that can be booked."""
    today = clock.local_day(now, clock.zone(shop.zone))
    return today, today + timedelta(days=shop.bookable_days)
