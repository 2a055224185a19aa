"""A visit that is a come-back: what its page, its card and its invoice say of the earlier one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from diagnostics.models.returning import ReturningVisit
from diagnostics.pages.causes import CauseLine, cause_lines
from garage.models.visits import Visit
from jobs.models.cards import Card
from jobs.reads.access import returning_with


@dataclass(frozen=True)
class ReturningShown:
    """says: what the earlier card says it was."""

    row: ReturningVisit
    says: str


def returning_shown(visit: Visit, card: Card | None) -> ReturningShown | None:
    row = returning_with(visit, card)
    return ReturningShown(row, cause_words(cause_lines(row.earlier))) if row else None


def cause_words(causes: Sequence[CauseLine]) -> str:
    return "; ".join(line.says for line in causes if not line.cause.found_good) or "nothing wrong"
