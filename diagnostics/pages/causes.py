"""Causes as pages show them, and the bank's faults to choose from."""

from __future__ import annotations

from dataclasses import dataclass

from diagnostics.core.bank.bank import GROUPS
from diagnostics.core.telling.judgement_words import GROUP_WORDS
from diagnostics.models.causes import Cause
from diagnostics.reads.bank import the_bank
from diagnostics.reads.causes import cause_words, standing_causes
from garage.models.visits import Visit


@dataclass(frozen=True)
class CauseLine:
    cause: Cause
    says: str


def cause_lines(visit: Visit) -> tuple[CauseLine, ...]:
    """Current causes and OKs, in the order they were entered."""
    return tuple(CauseLine(row, cause_words(row)) for row in standing_causes(visit))


def fault_choices() -> list[tuple[str, list[tuple[str, str]]]]:
    """Choices for a form: group in words, then (fault id, its name)."""
    faults = the_bank().faults
    return [(GROUP_WORDS[group], [(f.id, f.say) for f in faults if f.group == group]) for group in GROUPS]
