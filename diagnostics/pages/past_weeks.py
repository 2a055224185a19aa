"""The garage's own past days, worked through again under other practices: the page behind "What we learned"."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime

from diagnostics.reads.bank import the_bank
from diagnostics.reads.past_days import past_days
from garage.core.planning.weeks.booked_days import PastDay, as_it_was, day_to_run
from garage.core.planning.weeks.day_run import DayRun
from garage.core.planning.weeks.practices import Policy, Practice, run_under
from garage.core.planning.weeks.week_measures import WeekFigures, week_figures
from garage.models.shop import Shop

DAYS_MOST = 40  # newest days: eight weeks, a second or two to work through
TOO_FEW_DAYS = 5  # a working week; with fewer the figures are one day's luck


@dataclass(frozen=True)
class PastLine:
    """One way to have worked through the days: figures of all of them together."""

    words: str
    useful_min: int
    lost_min: int
    worth_pence: int
    kept: int


@dataclass(frozen=True)
class PastWeeks:
    """promises: of machines that came and were ready."""

    days: int
    visits: int
    spoilt: int
    promises: int
    lines: tuple[PastLine, ...]
    least: int = TOO_FEW_DAYS

    @property
    def is_enough(self) -> bool:
        return self.days >= self.least


def past_weeks(shop: Shop, *, now: datetime) -> PastWeeks:
    """Repeatable: on past days nothing changes but a corrected card."""
    days = past_days(the_bank(), shop, DAYS_MOST, now=now)
    visits = [visit for day in days for visit in day.visits]
    was = _figures(days, as_it_was)
    return PastWeeks(
        days=len(days),
        visits=len(visits),
        spoilt=sum(visit.is_spoilt for visit in visits),
        promises=was.promises,
        lines=_lines(days, was, shop.guard_minutes) if len(days) >= TOO_FEW_DAYS else (),
    )


def _lines(days: Sequence[PastDay], was: WeekFigures, guard: int) -> tuple[PastLine, ...]:
    # The simple plan alone: it takes a tenth of the time, and days without waiting machines leave little to search.
    policy = Policy(guard, limit_s=0.0)

    def under(practice: Practice) -> WeekFigures:
        return _figures(days, lambda day: run_under(practice, day_to_run(day), policy))

    return (
        _line("As it was", was),
        _line("Booked order, no check beforehand", under(Practice.AS_BOOKED)),
        _line("By this planner, asked again at each event", under(Practice.PLANNED)),
    )


def _figures(days: Sequence[PastDay], run: Callable[[PastDay], DayRun]) -> WeekFigures:
    return week_figures([run(day) for day in days])


def _line(words: str, found: WeekFigures) -> PastLine:
    return PastLine(words, found.useful_min, found.lost_min, found.worth_pence, found.kept)
