"""The look at a list before it is taken in: the refused lines first, and of the others what can be looked through."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from garage.core.lists import kinds, owners
from garage.core.lists.plan import LineCounts, LineOutcome, ListEntry, ListPlan
from garage.core.lists.table import Column
from garage.models.list_files import ListFile
from garage.reads.lists import planned

MOST_SHOWN = 100  # lines of each outcome: what anybody reads through, and a light page
ORDER = (LineOutcome.REFUSED, LineOutcome.CHANGED, LineOutcome.NEW, LineOutcome.SAME)
TITLES = {
    LineOutcome.REFUSED: "Refused",
    LineOutcome.CHANGED: "Changed",
    LineOutcome.NEW: "New",
    LineOutcome.SAME: "The same",
}


@dataclass(frozen=True)
class OutcomeLines:
    """entries: the first of them. count: of all."""

    title: str
    entries: Sequence[ListEntry]
    count: int

    @property
    def more(self) -> int:
        return self.count - len(self.entries)


@dataclass(frozen=True)
class ListSeen:
    counts: LineCounts
    parts: tuple[OutcomeLines, ...]
    unused: tuple[str, ...]


def list_seen(row: ListFile) -> ListSeen:
    return seen_of(planned(row.what, bytes(row.content)))


def seen_of(plan: ListPlan, most: int = MOST_SHOWN) -> ListSeen:
    by_outcome = {outcome: [entry for entry in plan.entries if entry.outcome == outcome] for outcome in ORDER}
    parts = [OutcomeLines(TITLES[outcome], rows[:most], len(rows)) for outcome, rows in by_outcome.items() if rows]
    return ListSeen(plan.counts, tuple(parts), plan.unused)


def columns_of(what: str) -> Sequence[Column]:
    return kinds.COLUMNS if what == ListFile.KINDS else owners.COLUMNS
