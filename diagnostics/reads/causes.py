"""Causes of a visit, and their names."""

from __future__ import annotations

from django.db.models import QuerySet

from diagnostics.models.causes import Cause
from diagnostics.reads.bank import the_bank
from garage.core.text.languages import told
from garage.models.visits import Visit


def standing_causes(visit: Visit) -> QuerySet[Cause]:
    """Causes and OKs not withdrawn, in the order they were entered."""
    return Cause.objects.filter(visit=visit, withdrawn_at=None).select_related("by", "outcome")


def has_a_cause(visit: Visit) -> bool:
    return Cause.objects.filter(visit=visit, withdrawn_at=None, found_good=False).exists()


def cause_words(cause: Cause) -> str:
    return ": ".join(part for part in (fault_words(cause.fault), cause.words) if part)


def fault_words(fault: str) -> str:
    """Its name in the language in force, or the id if only an older edition of the bank had the fault."""
    return told(the_bank().fault(fault).say) if fault in the_bank().fault_ids else fault
