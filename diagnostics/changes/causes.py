"""What it was in the end: causes confirmed or withdrawn, and what was looked at and found good."""

from __future__ import annotations

from django.db import transaction
from django.utils import timezone

from diagnostics.models.causes import Cause
from diagnostics.reads.bank import the_bank
from garage.changes import trail
from garage.changes.locks import visit_for_change
from garage.core import states
from garage.core.errors import BadInput, Refused
from garage.models.people import Person
from garage.models.visits import Visit

LONGEST = 160  # characters of a cause in own words


@transaction.atomic
def confirm(visit: Visit, *, by: Person, fault: str = "", words: str = "") -> Cause:
    """fault: one of the bank's; words: our own, beside it or instead of it."""
    return _put_down(visit, by=by, fault=fault, words=words, found_good=False)


@transaction.atomic
def looked_good(visit: Visit, *, by: Person, fault: str = "", words: str = "") -> Cause:
    """Looked at and in order: it was not this."""
    return _put_down(visit, by=by, fault=fault, words=words, found_good=True)


@transaction.atomic
def withdraw(cause: Cause, *, by: Person) -> Cause:
    """The row is kept and no longer counts."""
    visit = visit_for_change(cause.visit)
    cause = Cause.objects.get(pk=cause.pk)
    if cause.withdrawn_at:
        raise Refused("This was withdrawn already.")
    cause.withdrawn_at = timezone.now()
    cause.save(update_fields=["withdrawn_at"])
    trail.about_visit(visit, f"withdrawn: {_said(cause)}", by=by)
    return cause


def _put_down(visit: Visit, *, by: Person, fault: str, words: str, found_good: bool) -> Cause:
    visit = visit_for_change(visit)
    words = words.strip()
    if visit.state in states.COMING:
        raise Refused(f"Visit {visit.number} is {visit.state_words}: nothing was looked at yet.")
    if fault and fault not in the_bank().fault_ids:
        raise BadInput("The cause", fault, "a fault of the bank, or own words")
    if not fault and not words:
        raise BadInput("The cause", None, "a fault of the bank, or own words")
    if len(words) > LONGEST:
        raise BadInput("The cause", f"{len(words)} characters", f"at most {LONGEST} characters")
    same = Cause.objects.filter(visit=visit, fault=fault, words=words, withdrawn_at=None)
    if same.exists():
        raise Refused("This stands here already; withdraw it first if it was otherwise.")
    cause = Cause.objects.create(visit=visit, fault=fault, words=words, found_good=found_good, at=timezone.now(), by=by)
    trail.about_visit(visit, f"{'looked at and good' if found_good else 'cause'}: {_said(cause)}", by=by)
    return cause


def _said(cause: Cause) -> str:
    named = the_bank().fault(cause.fault).say if cause.fault in the_bank().fault_ids else cause.fault
    return ": ".join(part for part in (named, cause.words) if part)
