"""Which times can be booked: open days, places not taken, and days that can still do all they have promised."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from django.utils import timezone

from garage.core.planning.crowded import is_surely_full, spare_people
from garage.core.planning.day_problem import DayProblem
from garage.core.selling.free_times import Wanted, free_times, job_at, nearest, possible
from garage.core.time import clock
from garage.models.shop import Shop, VisitKind
from garage.models.visits import Visit
from garage.reads.day_problem import DayRows, day_with_holds, horizon, read_days, wanted_for, wanted_of
from garage.reads.selling import Taken, lowest_free, pieces_of, taken_places
from garage.reads.shop import the_shop

ONLINE_STEP_MIN = 30  # min between the times offered online: fewer to choose from, fewer useless gaps. No source
DESK_STEP_MIN = 15  # min; common practice, no source
CHUNK = 4  # candidates asked at a time while the first free one is looked for


@dataclass(frozen=True)
class Asked:
    """What a time is looked for: place, length, what it needs of the day, and what does not stand in its own way."""

    at: str
    minutes: int
    wanted: Wanted
    step_min: int = ONLINE_STEP_MIN
    notice_min: int = 0
    moved: Visit | None = None
    browser: str = ""


@dataclass(frozen=True)
class FreeDay:
    day: date
    times: tuple[datetime, ...] = field(default=())  # UTC


def asked_online(kind: VisitKind, shop: Shop, *, browser: str = "") -> Asked:
    return Asked(kind.at, kind.minutes, wanted_of(kind, shop), notice_min=shop.notice_minutes, browser=browser)


def asked_held(kind: VisitKind, shop: Shop) -> Asked:
    """What was held open in time is booked even if the time has come too near meanwhile."""
    return Asked(kind.at, kind.minutes, wanted_of(kind, shop))


def asked_at_the_desk(kind: VisitKind, shop: Shop) -> Asked:
    return Asked(kind.at, kind.minutes, wanted_of(kind, shop), step_min=DESK_STEP_MIN)


def asked_for(visit: Visit, *, at: str, minutes: int, shop: Shop) -> Asked:
    """The workshop looks for a new time for a visit that exists."""
    wanted = wanted_for(visit, at=at, minutes=minutes, shop=shop)
    return Asked(at, minutes, wanted, step_min=DESK_STEP_MIN, moved=visit)


def asked_by_owner(visit: Visit, shop: Shop) -> Asked:
    """Its owner looks for another time for it: those and the notice of online booking."""
    wanted = wanted_for(visit, at=visit.at, minutes=visit.minutes, shop=shop)
    return Asked(visit.at, visit.minutes, wanted, notice_min=shop.notice_minutes, moved=visit)


class Search:
    """The rows of a stretch of days, read once, and the free times of each day found when asked for."""

    def __init__(self, asked: Asked, first: date, last: date, now: datetime) -> None:
        self.asked, self.first, self.last, self.now = asked, first, last, now
        self.rows: DayRows = read_days(first, last, now, leaving_out=asked.moved, not_held_by=asked.browser)
        since, until = clock.day_bounds(first, self.rows.zone)[0], clock.day_bounds(last, self.rows.zone)[1]
        self.taken: Taken = taken_places(asked.at, since, until, now, besides=asked.moved, not_held_by=asked.browser)
        self.places = self.rows.stations.get(asked.at, 0)

    def days(self) -> Iterator[date]:
        return self.rows.opening.days(self.first, self.last)

    def candidates(self, day: date) -> list[int]:
        """Minutes of the day on the grid, within opening hours and with a place free for all their pieces."""
        hours = self.rows.opening.opening(day, self.rows.zone)
        if hours is None or not self.places:
            return []
        opens, closes = hours
        step, length = timedelta(minutes=self.asked.step_min), timedelta(minutes=self.asked.minutes)
        earliest = self.now + timedelta(minutes=self.asked.notice_min)
        out, begins = [], _on_the_grid(opens, self.asked.step_min)
        while begins + length <= closes:
            if begins >= earliest and self.has_place(begins):
                out.append(clock.minute_of_day(begins, self.rows.zone))
            begins += step
        return out

    def has_place(self, starts_at: datetime) -> bool:
        return lowest_free(self.taken, pieces_of(starts_at, self.asked.minutes), self.places) is not None

    def on(self, day: date) -> tuple[datetime, ...]:
        """All free times of one day."""
        problem, candidates = self._worth_asking(day)
        return self._instants(day, free_times(problem, self.asked.wanted, candidates) if candidates else [])

    def first_on(self, day: date) -> datetime | None:
        """The first free time of one day: looked for a few at a time, since most days have an early one."""
        problem, candidates = self._worth_asking(day)
        for start in range(0, len(candidates), CHUNK):
            if found := free_times(problem, self.asked.wanted, candidates[start : start + CHUNK]):
                return self._instants(day, found[:1])[0]
        return None

    def allows(self, starts_at: datetime) -> bool:
        """Whether the day can do this too: people, benches, promises. Places are looked at apart."""
        day = clock.local_day(starts_at, self.rows.zone)
        minute = clock.minute_of_day(starts_at, self.rows.zone)
        return possible(day_with_holds(self.rows, day), job_at(self.asked.wanted, minute))

    def _worth_asking(self, day: date) -> tuple[DayProblem, list[int]]:
        """The day, and the candidates at which it is not surely full."""
        problem, candidates = day_with_holds(self.rows, day), self.candidates(day)
        spare = spare_people(problem) if candidates else []
        jobs = ((minute, job_at(self.asked.wanted, minute)) for minute in candidates)
        return problem, [minute for minute, job in jobs if not is_surely_full(spare, job)]

    def _instants(self, day: date, minutes: Sequence[int]) -> tuple[datetime, ...]:
        return tuple(clock.at_minute(day, minute, self.rows.zone) for minute in minutes)


def _on_the_grid(opens: datetime, step_min: int) -> datetime:
    step = timedelta(minutes=step_min)
    return opens + (clock.EPOCH - opens) % step


def search(asked: Asked, *, now: datetime | None = None, shop: Shop | None = None) -> Search:
    """Over all days that can be booked."""
    now, shop = now or timezone.now(), shop or the_shop()
    first, last = horizon(shop, now)
    return Search(asked, first, last, now)


def first_free(kind: VisitKind, *, now: datetime | None = None) -> datetime | None:
    """The first time at which this kind can be booked online; None when all days are full."""
    shop = the_shop()
    found = search(asked_online(kind, shop), now=now, shop=shop)
    return next((at for day in found.days() if (at := found.first_on(day))), None)


def free_days(asked: Asked, *, since: date | None = None, count: int = 7, now: datetime | None = None) -> list[FreeDay]:
    """The next days, from since on, on which there is a free time, with all of theirs."""
    found, out = search(asked, now=now), []
    for day in found.days():
        if since and day < since:
            continue
        if times := found.on(day):
            out.append(FreeDay(day, times))
        if len(out) == count:
            break
    return out


def free_on(asked: Asked, day: date, *, now: datetime | None = None) -> tuple[datetime, ...]:
    return Search(asked, day, day, now or timezone.now()).on(day)


def nearest_free(asked: Asked, wanted_at: datetime, *, count: int = 3, now: datetime | None = None) -> list[datetime]:
    """The free times nearest to the one that could not be had: its own day first, then the days around it."""
    found = search(asked, now=now)
    wanted_day = clock.local_day(wanted_at, found.rows.zone)
    times: list[datetime] = []
    days = sorted(found.days(), key=lambda day: (abs((day - wanted_day).days), day))
    for i, day in enumerate(days):
        times += found.on(day)
        is_last_so_far = i + 1 == len(days) or abs((days[i + 1] - wanted_day).days) > abs((day - wanted_day).days)
        if len(times) >= count and is_last_so_far:
            break
    return nearest(sorted(times), wanted_at, count)
