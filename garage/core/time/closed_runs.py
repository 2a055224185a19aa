"""Days off the list of the shop that follow each other for one reason, such as a winter closing."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

A_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class ListedDay:
    """One day of the list. number: by which it is known."""

    number: int
    day: date
    why: str
    open_after_all: bool = False


@dataclass(frozen=True, slots=True)
class ClosedRun:
    """One day, or several without a gap. days: in order, at least one."""

    days: tuple[ListedDay, ...]

    @property
    def first(self) -> ListedDay:
        return self.days[0]

    @property
    def last(self) -> ListedDay:
        return self.days[-1]


def closed_runs(days: Iterable[ListedDay]) -> tuple[ClosedRun, ...]:
    """days: in order, each day once. A holiday that is worked stands alone.

    >>> day = date(2026, 12, 24)
    >>> [len(run.days) for run in closed_runs([ListedDay(n, day + n * A_DAY, "winter") for n in (0, 1, 3)])]
    [2, 1]
    """
    runs: list[list[ListedDay]] = []
    for one in days:
        if runs and _follows(runs[-1][-1], one):
            runs[-1].append(one)
        else:
            runs.append([one])
    return tuple(ClosedRun(tuple(run)) for run in runs)


def _follows(before: ListedDay, one: ListedDay) -> bool:
    is_next = one.day - before.day == A_DAY and one.why == before.why
    return is_next and not (one.open_after_all or before.open_after_all)
