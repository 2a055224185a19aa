"""One day of the workshop with everything its sheet shows: drawing, list, what needs a hand, what comes next."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from garage.core import states
from garage.core.drawing.day_story import StationWork, VisitOfDay, machine_thread, odds_words
from garage.core.drawing.sheet import DayDrawing, DaySheet, Promise, Rest
from garage.core.drawing.threads import draw
from garage.core.drawing.tracks import hours_of, station_names, track_at, tracks_of
from garage.core.planning.day_problem import KINDS, DayProblem, Placed, Plan
from garage.core.planning.day_rules import DayAt, is_late, why_not_yet
from garage.core.time.day_minutes import hhmm
from garage.core.time.roller_hours import hours_in_words, is_outside
from garage.models.shop import ROLLER, Shop
from garage.models.visits import Step, Visit
from garage.pages.gaps import Gap, gaps_on
from garage.pages.plan_of_day import PlanMarks, PlanOfDay, plan_of_day
from garage.pages.roller_caution import caution_at
from garage.reads.day_plan import DayPlan, accepted_on, planned
from garage.reads.day_problem import DaysRead, days_of, visit_to_plan
from garage.reads.day_visits import belonging, visits_between
from garage.reads.opening import closed_until, open_days_ahead
from garage.reads.routed import routed

DECIDE = "Look and decide"
ANYBODYS_SKILLS = frozenset(KINDS)


@dataclass(frozen=True)
class Hand:
    """Something that needs a hand now, with a link to the page where it is put right."""

    visit: Visit
    words: str
    url_name: str
    act: str
    is_late: bool = False  # so overdue that it may not come at all


@dataclass(frozen=True)
class Next:
    """One step that is running or waiting for its turn, with what its button needs."""

    number: int
    step: Step
    begin: str
    words: str
    station: int
    by: str
    is_running: bool
    may_begin: bool
    person_id: int | None = None  # who does it
    caution: str = ""  # of a session, should it begin now outside the roller hours
    remarks: tuple[str, ...] = ()  # that it runs late, where it stood in the plan, how many pass


@dataclass(frozen=True)
class FollowingDay:
    """What stands below a closed day: the next working day."""

    day: date
    sub: str
    drawing: DayDrawing


@dataclass(frozen=True)
class DayPage:
    day: date
    is_today: bool
    sub: str
    plan: PlanOfDay
    drawing: DayDrawing
    hands: tuple[Hand, ...]
    nexts: tuple[Next, ...]
    troubles: tuple[str, ...]  # promises that can't be kept, visits that don't fit, notes of the plan
    fix_first: tuple[Visit, ...]
    expected: tuple[Visit, ...]  # not here yet
    before: date
    after: date
    visits: tuple[Visit, ...]  # all of the day, with their steps
    closed: str  # why the garage is closed that day, in a few words
    next_open: date | None  # on a closed day: the working day after it
    gaps: tuple[Gap, ...]  # times of the day that came free, and who was asked
    read: DaysRead  # what the plan was made from
    following: FollowingDay | None = None


def day_page(day: date, shop: Shop, *, now: datetime) -> DayPage:
    """Everything on the sheet. now: an aware instant, drawn only on its own day."""
    opening = open_days_ahead(shop, day)
    closed, next_open = closed_until(opening, day)
    days = (day, next_open) if next_open else (day,)
    rows = list(visits_between(day, days[-1], shop.local_time, now=now))
    read, accepted = days_of(rows, day, days[-1], now, opening=opening, shop=shop), accepted_on(*days)
    one, *following = (_Day(planned(read, each, accepted), rows, DayAt(each, now, shop.local_time)) for each in days)
    to_fix, asked = routed()
    return DayPage(
        day=day,
        is_today=one.seen.has(now),
        sub=one.sub,
        plan=plan_of_day(one.plan, one.visits, one.seen),
        drawing=one.drawing,
        hands=(*_hands(one, asked), *_outside_roller_hours(one)),
        nexts=tuple(_nexts(one)),
        troubles=tuple(_troubles(one.plan.proposed)),
        fix_first=to_fix,
        expected=tuple(v for v in one.visits if v.state in states.COMING | {states.HELD}),
        before=day - timedelta(days=1),
        after=day + timedelta(days=1),
        visits=tuple(one.visits),
        closed=closed,
        next_open=next_open,
        gaps=gaps_on(day, shop, now=now),
        read=read,
        following=next((FollowingDay(day.seen.day, day.sub, day.drawing) for day in following), None),
    )


class _Day:
    """One of the days of a page, from rows that were read for all of them."""

    def __init__(self, plan: DayPlan, rows: Sequence[Visit], seen: DayAt) -> None:
        self.plan, self.seen, self.visits = plan, seen, belonging(rows, seen)
        self.marks, self.quiet = PlanMarks(plan), plan.problem.quiet_rollers

    @property
    def sub(self) -> str:
        return _sub(self.plan.problem, self.visits)

    @property
    def drawing(self) -> DayDrawing:
        return draw(_sheet(self.seen, self.visits, self.plan, self.marks))


def _sub(problem: DayProblem, visits: Sequence[Visit]) -> str:
    sold = sum(v.minutes for v in visits if v.at == ROLLER)
    people, machines = len(problem.people), len(visits)
    hours = hours_in_words(problem.quiet_rollers)
    return (
        f"{_count(people, 'person', 'people')}, {_count(machines, 'machine', 'machines')}, {sold} roller minutes sold."
        + (f" On this day the rollers {hours}." if hours else "")
    )


def _count(n: int, one: str, many: str) -> str:
    return f"{n or 'no'} {one if n == 1 else many}"


def _sheet(seen: DayAt, visits: Sequence[Visit], plan: DayPlan, marks: PlanMarks) -> DaySheet:
    problem = plan.problem
    names = station_names(problem)
    here_from = {job.id: job.here_from for job in problem.jobs}
    opens, closes = hours_of(problem)
    now = seen.now_minute if seen.has(seen.now) else None
    stories = [_story(v, seen, marks, names, max(opens, here_from.get(str(v.number), opens))) for v in visits]
    rests = sorted({Rest(a, b, "dinner") for person in problem.people for a, b in person.breaks}, key=lambda r: r.begin)
    return DaySheet(
        title=f"Day sheet, {seen.day:%A} {seen.day.day} {seen.day:%B}",
        tracks=tracks_of(problem, (work.track for story in stories for work in story.work)),
        threads=tuple(machine_thread(s, now=now, closes=closes) for s in stories),
        promises=tuple(_promises(plan, names)),
        rests=tuple(rests),
        now=now,
        opens=opens,
        closes=closes,
    )


def _promises(plan: DayPlan, names: dict[tuple[str, int], str]) -> Iterable[Promise]:
    """Each at the rollers that the plan gives the machine, or at the first."""
    first = next((name for (kind, _), name in names.items() if kind == ROLLER), "Rollers")
    given = {p.job: names.get((p.at, p.station), first) for p in plan.proposed.placed if p.at == ROLLER}
    for job in plan.problem.jobs:
        if job.promised is not None:
            yield Promise(job.id, given.get(job.id, first), job.promised)


def _story(
    visit: Visit, seen: DayAt, marks: PlanMarks, names: dict[tuple[str, int], str], here_from: int
) -> VisitOfDay:
    arrived = None if visit.arrived_at is None else seen.local.minute_from(seen.day, visit.arrived_at)
    stood_here_overnight = arrived is not None and arrived < 0  # its thread begins with the day
    number = str(visit.number)
    return VisitOfDay(
        number=number,
        label=f"{number} {visit.machine.words}, {visit.kind.name.lower()}",
        here_from=here_from if arrived is None or stood_here_overnight else arrived,
        work=tuple(_work(visit, seen, marks, names)),
        gone_at=None if visit.collected_at is None else seen.local.minute_from(seen.day, visit.collected_at),
        odds=odds_words(visit.ready_chance) if visit_to_plan(visit, ()).is_in_doubt else "",
    )


def _work(visit: Visit, seen: DayAt, marks: PlanMarks, names: dict[tuple[str, int], str]) -> Iterable[StationWork]:
    steps = list(visit.steps.all())
    for step in steps:
        if step.began_at and step.ended_at and seen.has(step.began_at):
            there = step.strapped_from or step.began_at
            begin, end = (seen.local.minute_from(seen.day, at) for at in (there, step.ended_at))
            track = track_at(names, step.at, step.station)
            was = None if seen.has(seen.now) else marks.planned_for(step, begin)
            who = marks.called(step.by.name) if step.by else ""
            words = ", ".join(filter(None, (step.what, who, "" if was is None else f"planned for {hhmm(was)}")))
            yield StationWork(track, begin, end, words, has_begun=True, is_over=True, was=was)
    for placed in marks.plan.proposed.placed:
        if placed.job == str(visit.number):
            step = steps[placed.step]
            yield StationWork(
                track_at(names, placed.at, placed.station),
                placed.begin,
                placed.end,
                ", ".join((step.what, *marks.said(placed))),
                has_begun=bool(step.began_at) or _is_strapped_down(visit, step),
                was=marks.was(placed),
            )


def _is_strapped_down(visit: Visit, step: Step) -> bool:
    """On its roller already, with its session still to begin."""
    return bool(step.strapped_from) and visit.state == states.ON_THE_ROLLERS and step.began_at is None


def _hands(day: _Day, asked: Iterable[Visit]) -> Iterable[Hand]:
    seen = day.seen
    for visit in asked:
        yield Hand(visit, "waits for the boss's word on its route.", "findings", DECIDE)
    for visit in day.visits:
        if seen.has(seen.now) and visit.starts_at and is_late(visit.state, visit.starts_at, seen.now):
            due = f"{seen.local.shown(visit.starts_at):%H:%M}"
            yield Hand(visit, f"was due at {due} and is not here.", "visit", "Open it", is_late=True)
        if visit.is_kept_off and visit.at == ROLLER and visit.starts_at and _is_open(visit) and not visit.route_asked:
            wish = f"{seen.local.shown(visit.starts_at):%H:%M}"
            yield Hand(
                visit, f"must not run, and still has the rollers at {wish}: the bench first.", "findings", DECIDE
            )
        if visit.state == states.TO_PUT_RIGHT and visit.arrived_at:
            yield Hand(visit, "is to be put right and has no time yet.", "visit-time", "Give it a time")


def _outside_roller_hours(day: _Day) -> Iterable[Hand]:
    """Sessions begun by hand or running late. A caution: the neighbours' quiet is the garage's to keep."""
    seen, quiet = day.seen, day.quiet
    words = f"has a session on the rollers outside their hours: today they {hours_in_words(quiet)}."
    for visit in day.visits if seen.has(seen.now) else ():
        for step in visit.steps.all():
            if step.at == ROLLER and step.began_at and not step.ended_at:
                begin = seen.minute(step.began_at)
                if is_outside(quiet, begin, max(begin + step.minutes, seen.now_minute)):
                    yield Hand(visit, words, "visit", "Open it")


def _is_open(visit: Visit) -> bool:
    return visit.state not in states.OVER | {states.READY}


def _nexts(day: _Day) -> Iterable[Next]:
    plan, by_number = day.plan, {str(v.number): v for v in day.visits}
    ids = {name: person for person, name in plan.names.items()}
    for placed in plan.proposed.placed:
        visit = by_number.get(placed.job)
        if visit is None:
            continue
        steps = list(visit.steps.all())
        step = steps[placed.step]
        yield Next(
            number=visit.number,
            step=step,
            begin=hhmm(placed.begin),
            words=f"{visit.number} {visit.machine.words}: {step.what}, {step.minutes} min",
            station=placed.station,
            by=placed.by,
            person_id=ids.get(placed.by),
            is_running=bool(step.began_at),
            may_begin=why_not_yet(visit_to_plan(visit, steps), placed.step, ANYBODYS_SKILLS) is None,
            caution=caution_at(step, day.quiet, day.seen.now_minute),
            remarks=tuple(_remarks(visit, step, placed, day.marks)),
        )


def _remarks(visit: Visit, step: Step, placed: Placed, marks: PlanMarks) -> Iterable[str]:
    _, *said = marks.said(placed)
    yield from said
    if step.is_check and step.began_at is None and visit_to_plan(visit, ()).is_in_doubt:
        yield f"may well fail: {odds_words(visit.ready_chance)}"


def _troubles(plan: Plan) -> Iterable[str]:
    yield from (f"{broken.job}: {broken.why}" for broken in plan.broken)
    yield from (f"{left.job}: {left.why}" for left in plan.left_out)
    yield from plan.notes
