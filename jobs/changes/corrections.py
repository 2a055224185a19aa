"""Corrections to the causes on a closed card: changed, added later or removed. Each one updates the counts."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from diagnostics.changes import causes, learning
from diagnostics.models.causes import Cause
from diagnostics.reads.causes import has_a_cause
from garage.changes import trail
from garage.changes.day.locks import visit_for_change
from garage.core.errors import Refused
from garage.models.people import Person
from garage.models.visits import Visit
from jobs.models.cards import Card


@transaction.atomic
def correct_cause(cause: Cause, *, fault: str, words: str, by: Person, now: datetime) -> None:
    """Replaces a cause by what it turned out to be. The trail keeps both."""
    visit_for_change(cause.visit)
    causes.withdraw(cause, by=by, now=now)
    causes.confirm(cause.visit, fault=fault, words=words, by=by, now=now)
    Card.objects.filter(visit=cause.visit).update(nothing_wrong=False)
    learning.count_again(cause.visit, now=now)


@transaction.atomic
def found_later(visit: Visit, *, fault: str, words: str, by: Person, now: datetime) -> None:
    """Adds a cause to a card that was closed with other causes or with "nothing wrong"."""
    card = _closed(visit)
    causes.confirm(visit, fault=fault, words=words, by=by, now=now)
    if card.nothing_wrong:
        card.nothing_wrong = False
        card.save(update_fields=["nothing_wrong"])
        trail.about_visit(visit, 'the card no longer says "nothing wrong"', by=by, now=now)
    learning.count_again(visit, now=now)


@transaction.atomic
def was_not_it(cause: Cause, *, by: Person, now: datetime) -> None:
    """Removes a wrong cause from a closed card. If it was the only one, the card says "nothing wrong"."""
    card = _closed(cause.visit)
    causes.withdraw(cause, by=by, now=now)
    if not has_a_cause(cause.visit) and not card.nothing_wrong:
        card.nothing_wrong = True
        card.save(update_fields=["nothing_wrong"])
        trail.about_visit(cause.visit, 'the card says "nothing wrong" now', by=by, now=now)
    learning.count_again(cause.visit, now=now)


def _closed(visit: Visit) -> Card:
    """The closed card, locked together with its visit."""
    visit = visit_for_change(visit)
    card = Card.objects.filter(visit=visit).exclude(closed_at=None).first()
    if card is None:
        raise Refused(f"The card of visit {visit.number} is not closed: put it right on the card itself.")
    return card
