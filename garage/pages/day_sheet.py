"""One day of the workshop with all that its sheet shows: drawing, list, what needs a hand, what comes next."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from django.db.models import Prefetch, Q, QuerySet
from django.utils import timezone

from garage.core import states
from garage.core.drawing.day_story import StationWork, VisitOfDay, machine_thread
from garage.core.drawing.sheet import DaySheet, Drawing, Promise, Rest
from garage.core.drawing.threads import draw
from garage.core.planning import planner
from garage.core.planning.day_problem import DayProblem, Plan, hhmm
from garage.core.time import clock
from garage.models.people import Person
from garage.models.shop import BENCH, ROLLER, Station
from garage.models.visits import Step, Visit
from garage.reads import routed
from garage.reads.clock import day_bounds, zone
from garage.reads.day_problem import planner_day
from garage.reads.people import workers

LATE_MIN = 15  # min after the agreed time before a visit that is not here is pointed at. Common practice, no source


@dataclass(frozen=True)
class Hand:
    """Something that needs a hand now, with the page where it is put right."""

    visit: Visit
    words: str
    url_name: str
    act: str


@dataclass(frozen=True)
class Next:
    """One step that waits for its turn or runs, with what its button needs."""

    number: int
    step: Step
    begin: str
    words: str
    station: int
    by: str
    is_running: bool
    may_begin: bool


@dataclass(frozen=True)
class DayPage:
    day: date
    is_today: bool
    sub: str
    drawing: Drawing
    hands: tuple[Hand, ...]
    nexts: tuple[Next, ...]
    troubles: tuple[str, ...]  # promises that can't be kept, visits that don't fit, notes of the plan
    fix_first: tuple[Visit, ...]
    expected: tuple[Visit, ...]  # not here yet
    workers: tuple[Person, ...]  # who may be fixed to a step by hand
    before: date
    after: date


def visits_on(day: date, *, is_today: bool) -> QuerySet[Visit]:
    """Visits with a time, an arrival, work or a collection on this local day; today all in the building too."""
    first, end = day_bounds(day)
    belongs = Q(starts_at__gte=first, starts_at__lt=end) & ~Q(state__in=[states.CALLED_OFF, states.DID_NOT_COME])
    for field in ("arrived_at", "collected_at", "steps__began_at"):
        belongs |= Q(**{f"{field}__gte": first, f"{field}__lt": end})
    if is_today:
        belongs |= Q(state__in=states.IN_THE_BUILDING)
    steps = Step.objects.select_related("by", "pin_by")
    rows = Visit.objects.filter(belongs).distinct().select_related("owner", "machine", "kind")
    return rows.prefetch_related(Prefetch("steps", queryset=steps)).order_by("starts_at", "number")


def day_page(day: date, *, now: datetime) -> DayPage:
    """Everything on the sheet. now: an aware instant; the drawing shows it on its own day only."""
    is_today = day == clock.local_day(now, zone())
    visits = list(visits_on(day, is_today=is_today))
    problem = planner_day(day, now)
    plan = planner.plan(problem)
    minute = _minute(now, day, zone()) if is_today else None
    return DayPage(
        day=day,
        is_today=is_today,
        sub=_sub(problem, visits),
        drawing=draw(_sheet(day, visits, problem, plan, minute)),
        hands=tuple(_hands(visits, now if is_today else None)),
        nexts=tuple(_nexts(visits, plan)),
        troubles=tuple(_troubles(plan)),
        fix_first=tuple(routed.to_fix_first()),
        expected=tuple(v for v in visits if v.state in states.COMING),
        workers=tuple(workers()),
        before=day - timedelta(days=1),
        after=day + timedelta(days=1),
    )


def _sub(problem: DayProblem, visits: Sequence[Visit]) -> str:
    sold = sum(v.minutes for v in visits if v.at == ROLLER)
    people, machines = len(problem.people), len(visits)
    return (
        f"{_count(people, 'person', 'people')}, {_count(machines, 'machine', 'machines')}, {sold} roller minutes sold."
    )


def _count(n: int, one: str, many: str) -> str:
    return f"{n or 'no'} {one if n == 1 else many}"


def track_names() -> tuple[dict[tuple[str, int], str], tuple[str, ...]]:
    """The name of each station's track, and all tracks in drawing order."""
    stations = list(Station.objects.all())
    rollers = [s for s in stations if s.kind == ROLLER]
    names = {(BENCH, s.number): f"Bench {s.number}" for s in stations if s.kind == BENCH}
    names |= {(ROLLER, s.number): "Rollers" if len(rollers) == 1 else f"Rollers {s.number}" for s in rollers}
    return names, ("In the yard", *names.values(), "Collected")


def _sheet(day: date, visits: Sequence[Visit], problem: DayProblem, plan: Plan, minute: int | None) -> DaySheet:
    names, tracks = track_names()
    here_from = {job.id: job.here_from for job in problem.jobs}
    opens, closes = _hours(problem)
    local = zone()
    stories = [_story(v, day, plan, names, max(opens, here_from.get(str(v.number), opens)), local) for v in visits]
    rests = sorted({Rest(a, b, "dinner") for person in problem.people for a, b in person.breaks}, key=lambda r: r.begin)
    return DaySheet(
        title=f"Day sheet, {day:%A} {day.day} {day:%B}",
        tracks=tracks,
        threads=tuple(machine_thread(s, now=minute, closes=closes) for s in stories),
        promises=tuple(_promises(problem, names)),
        rests=tuple(rests),
        now=minute,
        opens=opens,
        closes=closes,
    )


def _hours(problem: DayProblem) -> tuple[int, int]:
    """Whole hours around the people's day; 8 to 17 where nobody works."""
    begins = [p.begin for p in problem.people] or [8 * 60]
    ends = [p.end for p in problem.people] or [17 * 60]
    return min(begins) // 60 * 60, -(-max(ends) // 60) * 60


def _promises(problem: DayProblem, names: dict[tuple[str, int], str]) -> Iterable[Promise]:
    roller = next((name for (kind, _), name in names.items() if kind == ROLLER), "Rollers")
    return (Promise(job.id, roller, job.promised) for job in problem.jobs if job.promised is not None)


def _story(
    visit: Visit, day: date, plan: Plan, names: dict[tuple[str, int], str], here_from: int, local: ZoneInfo
) -> VisitOfDay:
    first = _minute(visit.arrived_at, day, local) if visit.arrived_at else here_from
    if first < 0:  # it stood here overnight: its thread begins with the day
        first = here_from
    gone = _minute(visit.collected_at, day, local) if visit.collected_at else None
    number = str(visit.number)
    return VisitOfDay(
        number=number,
        label=f"{number} {visit.machine.words}, {visit.kind.name.lower()}",
        here_from=first,
        work=tuple(_work(visit, day, plan, names, local)),
        gone_at=gone,
        in_doubt=visit.ready_chance < 0.5 and not visit.gate_passed_at,
    )


def _work(
    visit: Visit, day: date, plan: Plan, names: dict[tuple[str, int], str], local: ZoneInfo
) -> Iterable[StationWork]:
    steps = list(visit.steps.all())
    for step in steps:
        if step.ended_at and 0 <= (begin := _minute(step.began_at, day, local)) < 24 * 60:
            track = names.get((step.at, step.station), "")
            yield StationWork(track, begin, _minute(step.ended_at, day, local), step.what, has_begun=True, is_over=True)
    for placed in plan.placed:
        if placed.job == str(visit.number):
            step = steps[placed.step]
            yield StationWork(
                names[placed.at, placed.station], placed.begin, placed.end, step.what, has_begun=bool(step.began_at)
            )


def _minute(instant: datetime, day: date, local: ZoneInfo) -> int:
    """Minutes from that day's local midnight by the wall clock; below 0 or above 1440 on other days."""
    at = instant.astimezone(local)
    return (at.date() - day).days * 24 * 60 + at.hour * 60 + at.minute


def _hands(visits: Sequence[Visit], now: datetime | None) -> Iterable[Hand]:
    for visit in routed.asked_of_the_boss():
        yield Hand(visit, "waits for the boss's word on its route.", "findings", "Look and decide")
    for visit in visits:
        if (
            now
            and visit.state in states.COMING
            and visit.starts_at
            and visit.starts_at + timedelta(minutes=LATE_MIN) < now
        ):
            yield Hand(
                visit, f"was due at {timezone.localtime(visit.starts_at):%H:%M} and is not here.", "visit", "Open it"
            )
        if visit.state == states.TO_PUT_RIGHT and visit.arrived_at:
            yield Hand(visit, "is to be put right and has no time yet.", "visit-time", "Give it a time")


def _nexts(visits: Sequence[Visit], plan: Plan) -> Iterable[Next]:
    by_number = {str(v.number): v for v in visits}
    for placed in plan.placed:
        visit = by_number.get(placed.job)
        if visit is None:
            continue
        steps = list(visit.steps.all())
        step = steps[placed.step]
        first_open = next((s for s in steps if not s.ended_at), None)
        may_begin = visit.state in states.IN_THE_BUILDING and step is first_open and not step.began_at
        if step.at == ROLLER and not visit.gate_passed_at:
            may_begin = False
        yield Next(
            number=visit.number,
            step=step,
            begin=hhmm(placed.begin),
            words=f"{visit.number} {visit.machine.words}: {step.what}, {step.minutes} min",
            station=placed.station,
            by=placed.by,
            is_running=bool(step.began_at),
            may_begin=may_begin,
        )


def _troubles(plan: Plan) -> Iterable[str]:
    yield from (f"{broken.job}: {broken.why}" for broken in plan.broken)
    yield from (f"{left.job}: {left.why}" for left in plan.left_out)
    yield from plan.notes
