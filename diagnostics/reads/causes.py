"""Causes of a visit in words, and the bank's faults to choose from."""

from __future__ import annotations

from dataclasses import dataclass

from diagnostics.core.bank.bank import GROUPS
from diagnostics.core.telling.judgement_words import GROUP_WORDS
from diagnostics.models.causes import Cause
from diagnostics.reads.bank import the_bank
from garage.models.visits import Visit


@dataclass(frozen=True)
class CauseLine:
    cause: Cause
    says: str


def causes_of(visit: Visit) -> tuple[CauseLine, ...]:
    """What stands, causes and found good alike, in the order it was put down."""
    rows = Cause.objects.filter(visit=visit, withdrawn_at=None).select_related("by", "outcome")
    return tuple(CauseLine(row, cause_words(row)) for row in rows)


def cause_of_visit(visit: Visit, cause_id: int) -> Cause | None:
    return Cause.objects.filter(visit=visit, pk=cause_id).first()


def has_a_cause(visit: Visit) -> bool:
    return Cause.objects.filter(visit=visit, withdrawn_at=None, found_good=False).exists()


def cause_words(cause: Cause) -> str:
    return ": ".join(part for part in (fault_words(cause.fault), cause.words) if part)


def fault_words(fault: str) -> str:
    """Its name; the id itself of a fault that an older edition of the bank had."""
    return the_bank().fault(fault).say if fault in the_bank().fault_ids else fault


def fault_choices() -> list[tuple[str, list[tuple[str, str]]]]:
    """Grouped for a choice on a form: group in words, then (fault id, its name)."""
    faults = the_bank().faults
    return [(GROUP_WORDS[group], [(f.id, f.say) for f in faults if f.group == group]) for group in GROUPS]
