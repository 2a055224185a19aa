"""Closed visits as values: what was judged before the machine came in, where it went, and what it turned out to be."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from diagnostics.core.bank.bank import NOTHING_WRONG, Bank
from diagnostics.core.judging.judgement import Reason
from diagnostics.core.learning.counts import why_not_learned


@dataclass(frozen=True, eq=False)
class Judged:
    """The last judgement before the machine came in, as made with the bank and counts of that day.

    chances, groups: by fault id, by group. spoilt_chance: of a fault that spoils what was booked. answers: question id
    to the answer as recorded, `unsure` included.
    """

    route: str
    chances: Mapping[str, float]
    groups: Mapping[str, float]
    spoilt_chance: float
    because: tuple[Reason, ...]
    answers: Mapping[str, object]


@dataclass(frozen=True, eq=False)
class ClosedVisit:
    """One visit whose card is closed, as it is now.

    number: None once all that names it is gone. booked: the visit kind as the bank knows it. roller_minutes: booked on
    the rollers, 0 for the bench. ran: it went on the rollers. taken: the route acted on before it came in, empty for
    none. causes: confirmed faults of the bank. judged: None if it was not judged before it came in.
    """

    number: int | None
    booked: str
    roller_minutes: int
    ran: bool
    taken: str
    causes: frozenset[str]
    has_own_words: bool = False
    came_back: bool = False
    judged: Judged | None = None

    @property
    def is_for_the_rollers(self) -> bool:
        return self.roller_minutes > 0


def why_not(bank: Bank, visit: ClosedVisit) -> str:
    """Why its card is not counted, in words; empty if it is."""
    known = frozenset(bank.fault_ids)
    return why_not_learned(visit.causes, known, has_own_words=visit.has_own_words, came_back=visit.came_back)


def is_known(bank: Bank, visit: ClosedVisit) -> bool:
    """Whether the card says what it was in the bank's terms. Several causes do; own words and a come-back do not."""
    return not visit.has_own_words and not visit.came_back and visit.causes <= frozenset(bank.fault_ids)


def was_spoilt(bank: Bank, visit: ClosedVisit) -> bool:
    """Whether a confirmed cause spoils what was booked, by the bank's own list."""
    return any(visit.booked in bank.fault(cause).spoils for cause in visit.causes if cause in bank.fault_ids)


def scored(bank: Bank, visits: Iterable[ClosedVisit]) -> tuple[tuple[ClosedVisit, Judged], ...]:
    """The visits whose judgement can be compared with the outcome, each with that judgement."""
    return tuple((visit, visit.judged) for visit in visits if visit.judged is not None and is_known(bank, visit))


def has_group(bank: Bank, visit: ClosedVisit, group: str) -> bool:
    """Whether a cause of the group was found; for nothing-wrong: whether none was. Its causes are the bank's."""
    return not visit.causes if group == NOTHING_WRONG else group in {bank.fault(cause).group for cause in visit.causes}
