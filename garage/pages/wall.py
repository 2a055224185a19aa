"""The day for a screen on the wall: the drawing, what each station does now and next, what is late.

Customers see it too: machine and visit number only, no names, and nothing on it changes anything.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime

from garage.core import states
from garage.core.drawing.sheet import DayDrawing, DaySheet
from garage.core.drawing.threads import draw
from garage.core.drawing.tracks import station_names
from garage.core.drawing.window import rest_of_day
from garage.core.planning.day_problem import Placed
from garage.core.planning.day_rules import DayAt, is_late
from garage.core.planning.stations_now import Delay, late_now, stations_now
from garage.core.time.day_minutes import hhmm
from garage.models.shop import Shop
from garage.models.visits import Step, Visit
from garage.pages.wall_sheet import wall_sheet
from garage.reads.day_plan import DayPlan, accepted_on, planned
from garage.reads.day_problem import days_of
from garage.reads.day_visits import visits_between
from garage.reads.opening import open_days

FULL_PX = 560  # height of a drawing, above which it is one of the rest of the day alone. By eye, no source
TALL_PX = 620  # height above which it stands beside the stations and not above them. By eye, no source
LATE_WORDS = {
    Delay.RUNS_OVER: "{words} should have ended at {since}.",
    Delay.NOT_BEGUN: "{words} should have begun at {since}.",
    Delay.NOT_KEPT: "{words} cannot begin at {since} as promised.",
}


@dataclass(frozen=True)
class WallRow:
    """One station. until, begin: clock times, empty where there is nothing."""

    track: str
    now: str
    until: str
    next: str
    begin: str


@dataclass(frozen=True)
class Wall:
    day: date
    as_of: str  # a clock time
    drawing: DayDrawing
    rows: tuple[WallRow, ...]
    late: tuple[str, ...]
    closed: str

    @property
    def is_tall(self) -> bool:
        return self.drawing.height > TALL_PX


def wall_of(shop: Shop, *, now: datetime) -> Wall:
    """Today, with the plan that people work to."""
    local = shop.local_time
    day = local.day(now)
    visits, opening = list(visits_between(day, day, local, now=now)), open_days(shop, day, day)
    plan = planned(days_of(visits, day, day, now, opening=opening, shop=shop), day, accepted_on(day))
    words = {(str(v.number), n): _words(v, step) for v in visits for n, step in enumerate(v.steps.all())}
    missing = [visit for visit in visits if visit.state in states.COMING and is_late(visit.state, visit.starts_at, now)]
    return Wall(
        day=day,
        as_of=f"{local.shown(now):%H:%M}",
        drawing=_drawing(wall_sheet(plan, visits, DayAt(day, now, local)), plan.problem.now),
        rows=tuple(_rows(plan, words)),
        late=(*_not_here(missing, shop), *_late(plan, words, {str(visit.number) for visit in missing})),
        closed=opening.why_closed(day),
    )


def _drawing(sheet: DaySheet, now: int) -> DayDrawing:
    """The whole day, or of a full one the rest of it."""
    whole = draw(sheet)
    return draw(rest_of_day(sheet, now)) if whole.height > FULL_PX else whole


def _rows(plan: DayPlan, words: Mapping[tuple[str, int], str]) -> Iterable[WallRow]:
    names = station_names(plan.problem)

    def said(placed: Placed | None) -> str:
        return "" if placed is None else words.get((placed.job, placed.step), placed.job)

    for one in stations_now(names, plan.problem, plan.to_work_to, plan.proposed):
        until, begin = (hhmm(one.now.end) if one.now else ""), (hhmm(one.next.begin) if one.next else "")
        yield WallRow(names[one.at, one.number], said(one.now), until, said(one.next), begin)


def _late(plan: DayPlan, words: Mapping[tuple[str, int], str], missing: Collection[str]) -> Iterable[str]:
    """missing: jobs whose machine is not here, which is said already."""
    for one in late_now(plan.problem, plan.to_work_to, plan.proposed):
        if one.job in missing:
            continue
        yield LATE_WORDS[one.why].format(words=words.get((one.job, one.step), one.job), since=hhmm(one.since))


def _not_here(visits: Iterable[Visit], shop: Shop) -> Iterable[str]:
    for visit in visits:
        if visit.starts_at:
            due = shop.local_time.shown(visit.starts_at)
            yield f"{visit.number} {visit.machine.words} was due at {due:%H:%M} and is not here."


def _words(visit: Visit, step: Step) -> str:
    return f"{visit.number} {visit.machine.words}: {step.what}"
