"""Seven days of the workshop in sums: what is sold, in doubt, kept free and still free, and who works."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from garage.core.drawing.week_strip import WeekStrip, drawn
from garage.core.planning.day_problem import BENCH, ROLLER, DayProblem, Worker
from garage.core.planning.day_rules import DayAt, VisitToPlan
from garage.core.planning.week import PlaceSums, RiskyVisit, place_sums
from garage.core.selling.kept_free import KeptFree, still_kept
from garage.core.time.day_minutes import hhmm
from garage.core.time.roller_hours import hours_in_words
from garage.models.shop import Shop
from garage.reads.day_problem import DaysToSell, problem_with_holds, read_days_to_sell
from garage.reads.shop import kept_free

WEEK_DAYS = 7
PLACE_NAMES = {ROLLER: "Rollers", BENCH: "Bench"}


@dataclass(frozen=True)
class InDoubt:
    """A visit that may well not be ready for the time sold to it, with its chance in words."""

    number: int
    minutes: int
    words: str


@dataclass(frozen=True)
class PlaceOfWeek:
    name: str
    sums: PlaceSums
    strip: WeekStrip
    in_doubt: tuple[InDoubt, ...]


@dataclass(frozen=True)
class DayOfWeek:
    """closed: why, in a few words. since: the time of today from which the sums count. places: none of a past day."""

    day: date
    closed: str
    is_past: bool
    since: str
    roller_hours: str
    workers: tuple[str, ...]
    places: tuple[PlaceOfWeek, ...]

    @property
    def closed_words(self) -> str:
        """A whole sentence: some reasons say already that it is closed."""
        says_so = self.closed.startswith("closed")
        return f"{self.closed[:1].upper()}{self.closed[1:]}." if says_so else f"Closed: {self.closed}."


@dataclass(frozen=True)
class WeekPage:
    first: date
    last: date
    before: date
    after: date
    is_this_week: bool
    days: tuple[DayOfWeek, ...]


def week_page(day: date, shop: Shop, *, now: datetime) -> WeekPage:
    """The week, Monday to Sunday, that the day lies in."""
    first = day - timedelta(days=day.weekday())
    last = first + timedelta(days=WEEK_DAYS - 1)
    read, kept = read_days_to_sell(first, last, now, shop), kept_free()
    days = [first + timedelta(days=ahead) for ahead in range(WEEK_DAYS)]
    problems = {one: problem_with_holds(read, one) for one in days}
    sums = {one: {} if one < read.today else _sums(read, kept, one, problems[one]) for one in days}
    longest_min = max((place.length_min for places in sums.values() for place in places.values()), default=0)
    return WeekPage(
        first=first,
        last=last,
        before=first - timedelta(days=WEEK_DAYS),
        after=first + timedelta(days=WEEK_DAYS),
        is_this_week=first <= read.today <= last,
        days=tuple(_day(read, one, problems[one], sums[one], longest_min) for one in days),
    )


def _sums(read: DaysToSell, kept: KeptFree, day: date, problem: DayProblem) -> dict[str, PlaceSums]:
    visits, opening = read.visits.get(day, []), read.opening.opening(day, read.local)
    opens, closes = map(read.local.minute_of_day, opening) if opening else (0, 0)
    return place_sums(
        problem,
        opens=opens,
        closes=closes,
        kept=still_kept(kept, visits, DayAt(day, read.now, read.local)) if opening else {},
        held=[job.id for job in read.held.get(day, [])],
        in_doubt=[str(visit.number) for visit in visits if _is_in_doubt(visit)],
    )


def _is_in_doubt(visit: VisitToPlan) -> bool:
    return visit.is_in_doubt or not visit.may_be_planned_on_the_rollers


def _day(read: DaysToSell, day: date, problem: DayProblem, sums: dict[str, PlaceSums], longest_min: int) -> DayOfWeek:
    kept_off = {str(visit.number) for visit in read.visits.get(day, []) if not visit.may_be_planned_on_the_rollers}
    closed = read.opening.why_closed(day)
    places = (
        PlaceOfWeek(name, sums[at], drawn(sums[at], longest_min), tuple(_in_doubt(sums[at], kept_off)))
        for at, name in PLACE_NAMES.items()
        if at in sums and not (closed and not sums[at].sold_min)
    )
    return DayOfWeek(
        day=day,
        closed=closed,
        is_past=day < read.today,
        since=hhmm(problem.now) if day == read.today else "",
        roller_hours=hours_in_words(problem.quiet_rollers),
        workers=tuple(_worker_words(person) for person in problem.people if person.end),
        places=tuple(places),
    )


def _in_doubt(sums: PlaceSums, kept_off: set[str]) -> Iterator[InDoubt]:
    for visit in sums.risky:
        words = "must not run as it is" if visit.number in kept_off else _chance_words(visit)
        yield InDoubt(int(visit.number), visit.minutes, words)


def _chance_words(visit: RiskyVisit) -> str:
    """In the words of the plan's notes.

    >>> _chance_words(RiskyVisit("41", 95, 0.62))
    'it may well fail its gate (62 in 100 pass)'
    """
    return f"it may well fail its gate ({round(visit.ready * 100)} in 100 pass)"


def _worker_words(person: Worker) -> str:
    return f"{person.id} {hhmm(person.begin)} to {hhmm(person.end)}"
