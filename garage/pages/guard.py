"""What the clear minutes before promised times bring and cost on the coming days, beside their setting."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from garage.core.money import from_pence, short_pounds_words
from garage.core.planning.standing.guard_cost import GuardedDay, guard_sentences, guarded_day
from garage.models.shop import Shop
from garage.reads.day_problem import problem_of, read_days

LOOK_AHEAD_DAYS = 28  # what is booked further ahead says little about a usual day yet
DAYS_MOST = 5  # with visits; each is planned twice while the page waits
PLAN_LIMIT_S = 0.4  # for one of these plans; a usual day takes a tenth
USUAL_MIN = 10  # shown where none are kept: what a new shop begins with


@dataclass(frozen=True)
class GuardRow:
    """left_out, left_out_without: pounds in words."""

    day: date
    figures: GuardedDay
    left_out: str
    left_out_without: str


@dataclass(frozen=True)
class GuardShown:
    """minutes: those compared; is_set: they are the shop's own."""

    minutes: int
    is_set: bool
    rows: tuple[GuardRow, ...]
    sentences: tuple[str, ...]


def guard_shown(shop: Shop, *, now: datetime) -> GuardShown:
    """From tomorrow on: of today a part is over."""
    minutes = shop.guard_minutes or USUAL_MIN
    first = shop.local_time.day(now) + timedelta(days=1)
    read = read_days(first, first + timedelta(days=LOOK_AHEAD_DAYS - 1), now, shop)
    rows: list[GuardRow] = []
    for day in sorted(read.visits):
        problem = problem_of(read, day)
        if len(rows) < DAYS_MOST and problem.people and any(job.steps for job in problem.jobs):
            rows.append(_row(day, guarded_day(replace(problem, limit_s=PLAN_LIMIT_S), minutes)))
    sentences = guard_sentences([row.figures for row in rows], minutes)
    return GuardShown(minutes, bool(shop.guard_minutes), tuple(rows), sentences)


def _row(day: date, figures: GuardedDay) -> GuardRow:
    with_it, without = (
        short_pounds_words(from_pence(pence)) for pence in (figures.left_out_pence, figures.left_out_without_pence)
    )
    return GuardRow(day, figures, with_it, without)
