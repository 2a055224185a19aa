"""What a closed card turns out to have been: a cause for another, one found later, none after all. Each recounts."""

from __future__ import annotations

from django.db import transaction

from diagnostics.changes import causes, learning
from diagnostics.models.causes import Cause
from diagnostics.reads.causes import has_a_cause
from garage.changes import trail
from garage.changes.locks import visit_for_change
from garage.core.errors import Refused
from garage.models.people import Person
from garage.models.visits import Visit
from jobs.models.cards import Card


@transaction.atomic
def correct_cause(cause: Cause, *, fault: str, words: str, by: Person) -> None:
    """What it turned out to be is put in the place of what was written, both in the trail."""
    visit_for_change(cause.visit)
    causes.withdraw(cause, by=by)
    causes.confirm(cause.visit, fault=fault, words=words, by=by)
    Card.objects.filter(visit=cause.visit).update(nothing_wrong=False)
    learning.recount()


@transaction.atomic
def found_later(visit: Visit, *, fault: str, words: str, by: Person) -> None:
    """A cause on a card that was closed without it, with others or with "nothing wrong"."""
    card = _closed(visit)
    causes.confirm(visit, fault=fault, words=words, by=by)
    if card.nothing_wrong:
        card.nothing_wrong = False
        card.save(update_fields=["nothing_wrong"])
        trail.about_visit(visit, 'the card no longer says "nothing wrong"', by=by)
    learning.recount()


@transaction.atomic
def was_not_it(cause: Cause, *, by: Person) -> None:
    """A cause of a closed card was none; where it was the only one, the card says "nothing wrong"."""
    card = _closed(cause.visit)
    causes.withdraw(cause, by=by)
    if not has_a_cause(cause.visit) and not card.nothing_wrong:
        card.nothing_wrong = True
        card.save(update_fields=["nothing_wrong"])
        trail.about_visit(cause.visit, 'the card says "nothing wrong" now', by=by)
    learning.recount()


def _closed(visit: Visit) -> Card:
    """Locked with its visit."""
    visit = visit_for_change(visit)
    card = Card.objects.filter(visit=visit).exclude(closed_at=None).first()
    if card is None:
        raise Refused(f"The card of visit {visit.number} is not closed: put it right on the card itself.")
    return card
