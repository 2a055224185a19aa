"""Which times can be booked: open days with free places that can still do everything promised."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta

from garage.core.planning.crowded import is_surely_full, spare_people
from garage.core.planning.day_problem import DayProblem
from garage.core.planning.day_rules import DayAt
from garage.core.selling.free_times import Wanted, bench_visit, free_times, job_at, known_visit, nearest, possible
from garage.core.selling.kept_free import KeptFree, kept_jobs, still_kept
from garage.core.time import clock
from garage.core.time.roller_hours import is_outside
from garage.models.shop import BENCH, Shop, VisitKind
from garage.models.visits import Visit
from garage.reads.day_problem import DaysToSell, problem_with_holds, read_days_to_sell, wanted_of
from garage.reads.selling import lowest_free, pieces_of, taken_places
from garage.reads.shop import kept_free

ONLINE_STEP_MIN = 30  # min between the times offered online: less choice, but fewer useless gaps. No source
DESK_STEP_MIN = 15  # min; common practice, no source
UNKNOWN_BENCH_MIN = 30  # min at the bench where nothing is judged; common practice, no source
CHUNK = 4  # candidates checked at a time in the search for the first free one


@dataclass(frozen=True)
class Asked:
    """What a time is wanted for: its place, its length, its needs of the day, and what must not block it.

    spares_kept: whether it leaves alone what the garage keeps free. tells_kept: whether the page says which do not.
    """

    shop: Shop
    at: str
    minutes: int
    wanted: Wanted
    step_min: int = ONLINE_STEP_MIN
    notice_min: int = 0
    moved: Visit | None = None
    browser: str = ""
    spares_kept: bool = False
    tells_kept: bool = False


@dataclass(frozen=True)
class FreeDay:
    """times: UTC. into_kept: those of them that use time that the garage keeps free."""

    day: date
    times: tuple[datetime, ...] = field(default=())
    into_kept: frozenset[datetime] = frozenset()


def asked_online(kind: VisitKind, shop: Shop, *, browser: str = "") -> Asked:
    wanted = wanted_of(kind, shop)
    return Asked(shop, kind.at, kind.minutes, wanted, notice_min=shop.notice_minutes, browser=browser, spares_kept=True)


def asked_held(kind: VisitKind, shop: Shop, *, browser: str = "") -> Asked:
    """A time that was held is booked, or held on, even if it has since come closer than the notice."""
    return Asked(shop, kind.at, kind.minutes, wanted_of(kind, shop), browser=browser)


def asked_kept(kind: VisitKind, minutes: int, shop: Shop, *, browser: str) -> Asked:
    """A freed time is kept for standby: whole, or what is left of one that had begun."""
    return Asked(shop, kind.at, minutes, wanted_of(kind, shop, minutes), browser=browser)


def asked_kept_here(kind: VisitKind, minutes: int, shop: Shop, *, browser: str) -> Asked:
    """As asked_kept, for a machine in the building that has passed the gate at the bench."""
    strap = shop.strap_minutes
    wanted = known_visit(kind.at, minutes, gate_min=0, strap_min=strap, has_passed_gate=False, is_here=True)
    return Asked(shop, kind.at, minutes, wanted, browser=browser)


def asked_at_the_desk(kind: VisitKind, shop: Shop) -> Asked:
    return Asked(shop, kind.at, kind.minutes, wanted_of(kind, shop), step_min=DESK_STEP_MIN, tells_kept=True)


def asked_for(visit: Visit, *, at: str, minutes: int, shop: Shop) -> Asked:
    """The workshop wants a new time for an existing visit."""
    wanted = _wanted_again(visit, at, minutes, shop)
    return Asked(shop, at, minutes, wanted, step_min=DESK_STEP_MIN, moved=visit, tells_kept=True)


def asked_by_owner(visit: Visit, shop: Shop) -> Asked:
    """The owner wants another time for it, with the grid and the notice of online booking."""
    wanted = _wanted_again(visit, visit.at, visit.minutes, shop)
    notice = shop.notice_minutes
    return Asked(shop, visit.at, visit.minutes, wanted, notice_min=notice, moved=visit, spares_kept=True)


def asked_to_leave_it(visit: Visit, shop: Shop) -> Asked:
    """The owner leaves it with us to be put right: bench time, with the grid and the notice of online booking.

    It may use the time that is kept free: that is what it is kept for.
    """
    minutes = visit.bench_minutes or UNKNOWN_BENCH_MIN
    return Asked(shop, BENCH, minutes, bench_visit(minutes), notice_min=shop.notice_minutes, moved=visit)


def asked_anew(visit: Visit, shop: Shop) -> Asked:
    """The owner of a visit without a time wants the one that it was booked for."""
    at, minutes = visit.kind.at, visit.kind.minutes
    wanted = _wanted_again(visit, at, minutes, shop)
    return Asked(shop, at, minutes, wanted, notice_min=shop.notice_minutes, moved=visit, spares_kept=True)


def _wanted_again(visit: Visit, at: str, minutes: int, shop: Shop) -> Wanted:
    has_passed_gate, is_here = visit.gate_passed_at is not None, visit.arrived_at is not None
    gate, strap = 0 if visit.gate_at_bench_passed_at else shop.gate_minutes, shop.strap_minutes
    return known_visit(at, minutes, gate, strap, has_passed_gate=has_passed_gate, is_here=is_here)


class Search:
    """A stretch of days, read once. The free times of each day are found on demand."""

    def __init__(self, asked: Asked, read: DaysToSell, kept: KeptFree) -> None:
        self.asked, self.read, self.local, self.kept = asked, read, read.local, kept
        since, until = self.local.bounds(read.first, read.last)
        self.taken = taken_places(asked.at, since, until, read.now, besides=asked.moved, not_held_by=asked.browser)
        self.places = read.stations.get(asked.at, 0)

    def days(self) -> Iterator[date]:
        return self.read.opening.days(self.read.first, self.read.last)

    def candidates(self, day: date) -> list[int]:
        """Minutes of the day on the grid, within opening hours, with a place free for all their pieces."""
        hours = self.read.opening.opening(day, self.local)
        if hours is None or not self.places:
            return []
        opens, closes = hours
        step, length = timedelta(minutes=self.asked.step_min), timedelta(minutes=self.asked.minutes)
        earliest = self.read.now + timedelta(minutes=self.asked.notice_min)
        out, begins = [], _on_the_grid(opens, self.asked.step_min)
        while begins + length <= closes:
            if begins >= earliest and self.is_in_roller_hours(begins) and self.has_place(begins):
                out.append(self.local.minute_of_day(begins))
            begins += step
        return out

    def is_in_roller_hours(self, starts_at: datetime) -> bool:
        """Whether the rollers may run for as long as this takes there. Bench work is not asked."""
        minute, length = self.local.minute_of_day(starts_at), self.asked.wanted.roller_min
        quiet = self.read.opening.quiet_rollers(self.local.day(starts_at))
        return not length or not is_outside(quiet, minute, minute + length)

    def has_place(self, starts_at: datetime) -> bool:
        return lowest_free(self.taken, pieces_of(starts_at, self.asked.minutes), self.places) is not None

    def on(self, day: date) -> tuple[datetime, ...]:
        """All free times of one day."""
        problem, candidates = self._worth_asking(day)
        return self._instants(day, free_times(problem, self.asked.wanted, candidates) if candidates else [])

    def free_day(self, day: date) -> FreeDay:
        times = self.on(day)
        if not (times and self.asked.tells_kept and any(self._kept_on(day).values())):
            return FreeDay(day, times)
        sparing = Search(replace(self.asked, spares_kept=True), self.read, self.kept)
        return FreeDay(day, times, frozenset(times) - frozenset(sparing.on(day)))

    def first_on(self, day: date) -> datetime | None:
        """The first free time of one day. A few are checked at a time, since most days have an early one."""
        problem, candidates = self._worth_asking(day)
        for start in range(0, len(candidates), CHUNK):
            if found := free_times(problem, self.asked.wanted, candidates[start : start + CHUNK]):
                return self._instants(day, found[:1])[0]
        return None

    def allows(self, starts_at: datetime) -> bool:
        """Whether the day can do this too, by people, benches and promises. Places are checked separately."""
        day, minute = self.local.day(starts_at), self.local.minute_of_day(starts_at)
        return possible(self._problem(day), job_at(self.asked.wanted, minute))

    def _problem(self, day: date) -> DayProblem:
        made = problem_with_holds(self.read, day)
        return replace(made, jobs=(*made.jobs, *kept_jobs(self._kept_on(day)))) if self.asked.spares_kept else made

    def _kept_on(self, day: date) -> dict[str, int]:
        return still_kept(self.kept, self.read.visits.get(day, ()), DayAt(day, self.read.now, self.local))

    def _worth_asking(self, day: date) -> tuple[DayProblem, list[int]]:
        """The day, and the candidates at which it is not certainly full."""
        problem, candidates = self._problem(day), self.candidates(day)
        spare = spare_people(problem) if candidates else []
        jobs = ((minute, job_at(self.asked.wanted, minute)) for minute in candidates)
        return problem, [minute for minute, job in jobs if not is_surely_full(spare, job)]

    def _instants(self, day: date, minutes: Sequence[int]) -> tuple[datetime, ...]:
        return tuple(self.local.at_minute(day, minute) for minute in minutes)


def _on_the_grid(opens: datetime, step_min: int) -> datetime:
    step = timedelta(minutes=step_min)
    return opens + (clock.EPOCH - opens) % step


def search_days(asked: Asked, first: date, last: date, now: datetime) -> Search:
    """first, last: local days, inclusive."""
    read = read_days_to_sell(first, last, now, asked.shop, leaving_out=asked.moved, not_held_by=asked.browser)
    return Search(asked, read, kept_free() if asked.spares_kept or asked.tells_kept else {})


def search(asked: Asked, *, now: datetime) -> Search:
    """Over all days that can be booked."""
    now = now
    return search_days(asked, *_bookable(asked.shop, now), now)


def _bookable(shop: Shop, now: datetime) -> tuple[date, date]:
    today = shop.local_time.day(now)
    return today, today + timedelta(days=shop.bookable_days)


def first_free(kinds: Iterable[VisitKind], shop: Shop, *, now: datetime) -> list[datetime | None]:
    """For each kind the first time that can be booked online. None when all days are full."""
    now = now
    read, kept = read_days_to_sell(*_bookable(shop, now), now, shop), kept_free()
    return [_first_of(Search(asked_online(kind, shop), read, kept)) for kind in kinds]


def _first_of(found: Search) -> datetime | None:
    return next((at for day in found.days() if (at := found.first_on(day))), None)


def free_days(asked: Asked, *, since: date | None = None, count: int = 7, now: datetime) -> list[FreeDay]:
    """The next days, starting at since, that have a free time, each with all its free times."""
    found, out = search(asked, now=now), []
    for day in found.days():
        if since and day < since:
            continue
        if (free := found.free_day(day)).times:
            out.append(free)
        if len(out) == count:
            break
    return out


def free_on(asked: Asked, day: date, *, now: datetime) -> tuple[datetime, ...]:
    return search_days(asked, day, day, now).on(day)


def nearest_free(asked: Asked, wanted_at: datetime, *, count: int = 3, now: datetime) -> list[datetime]:
    """The free times nearest to the one that was taken: its own day first, then the days around it."""
    found = search(asked, now=now)
    wanted_day = found.local.day(wanted_at)
    times: list[datetime] = []
    days = sorted(found.days(), key=lambda day: (abs((day - wanted_day).days), day))
    for i, day in enumerate(days):
        times += found.on(day)
        is_last_so_far = i + 1 == len(days) or abs((days[i + 1] - wanted_day).days) > abs((day - wanted_day).days)
        if len(times) >= count and is_last_so_far:
            break
    return nearest(sorted(times), wanted_at, count)
