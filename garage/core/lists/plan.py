"""What a list would do, line by line: the dry run, and what is then written."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from enum import Enum


class LineOutcome(Enum):
    """What becomes of a line. Of a file with refused ones nothing is written unless somebody takes the good ones."""

    NEW, CHANGED, SAME, REFUSED = "new", "changed", "same", "refused"


@dataclass(frozen=True)
class ListEntry:
    """line: as a spreadsheet counts. words: whom or what it is about. says: what changes or stays, or why not."""

    line: int
    outcome: LineOutcome
    words: str
    says: tuple[str, ...] = ()


@dataclass(frozen=True)
class LineCounts:
    """Lines of each outcome."""

    new: int = 0
    changed: int = 0
    same: int = 0
    refused: int = 0

    @property
    def good(self) -> int:
        return self.new + self.changed + self.same


@dataclass(frozen=True)
class ListRow:
    """A row to write. id: None for a new one. values: its fields, of a known row those that change. parts: rows that
    belong to it.
    """

    id: int | None
    values: Mapping[str, object]
    parts: Sequence[ListRow] = field(default=())


@dataclass(frozen=True)
class ListPlan:
    """unused: columns that nobody asked for. rows: what the good lines write."""

    entries: tuple[ListEntry, ...]
    rows: tuple[ListRow, ...]
    unused: tuple[str, ...] = ()

    @property
    def counts(self) -> LineCounts:
        found = Counter(entry.outcome for entry in self.entries)
        return LineCounts(**{outcome.value: found[outcome] for outcome in LineOutcome})


def counts_in_words(counts: LineCounts) -> str:
    """How many lines of each outcome.

    >>> counts_in_words(LineCounts(new=2, refused=1))
    '2 new, 0 changed, 0 the same, 1 refused'
    """
    return f"{counts.new} new, {counts.changed} changed, {counts.same} the same, {counts.refused} refused"
