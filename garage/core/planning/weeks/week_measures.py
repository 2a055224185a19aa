"""What came of a run: the rollers' minutes, money, and promises kept, added up by weeks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from garage.core.planning.day_problem import PROMISE_WINDOW_MIN
from garage.core.planning.weeks.day_run import DayRun


@dataclass(frozen=True, slots=True)
class RunMinutes:
    """The rollers' minutes from opening to closing; the three add up to all of them. after_closing is besides."""

    useful: int
    lost: int
    idle: int
    after_closing: int


@dataclass(frozen=True, slots=True)
class WeekFigures:
    """Sums over the days of one week. promises: of machines that came and were ready; kept: of those."""

    useful_min: int
    lost_min: int
    after_closing_min: int
    worth_pence: int
    promises: int
    kept: int


def run_minutes(run: DayRun) -> RunMinutes:
    shop = run.day.workshop
    useful = sum(min(stay.end, shop.closes) - stay.begin for stay in run.stays if not stay.is_lost)
    lost = sum(min(stay.end, shop.closes) - stay.begin for stay in run.stays if stay.is_lost)
    after = sum(max(0, stay.end - shop.closes) for stay in run.stays)
    return RunMinutes(useful, lost, shop.capacity_min - useful - lost, after)


def is_kept(run: DayRun, machine: str, promised: int) -> bool:
    """Whether its session began within the window of its promise."""
    begun = [stay.begin for stay in run.stays if stay.machine == machine and not stay.is_lost]
    return bool(begun) and 0 <= begun[0] - promised <= PROMISE_WINDOW_MIN


def week_figures(runs: Sequence[DayRun]) -> WeekFigures:
    minutes = [run_minutes(run) for run in runs]
    promises = [is_kept(run, one.id, one.promised or 0) for run in runs for one in run.day.machines if one.can_be_kept]
    return WeekFigures(
        useful_min=sum(one.useful for one in minutes),
        lost_min=sum(one.lost for one in minutes),
        after_closing_min=sum(one.after_closing for one in minutes),
        worth_pence=sum(_worth_pence(run) for run in runs),
        promises=len(promises),
        kept=sum(promises),
    )


def _worth_pence(run: DayRun) -> int:
    done = {stay.machine for stay in run.stays if not stay.is_lost}
    return sum(one.worth_pence for one in run.day.machines if one.id in done)
