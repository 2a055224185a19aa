"""What comes from a phone's open page: perhaps twice, and perhaps later than it was tapped."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db import transaction

from garage.changes import trail
from garage.changes.day.locks import visit_for_change
from garage.models.people import Person
from garage.models.visits import Visit
from jobs.changes import cards
from jobs.changes.sent_forms import once
from jobs.core.tapped import time_of_tap
from jobs.models.cards import Card


@dataclass(frozen=True)
class Sent:
    """key: None of a form sent without a script. tapped_at: by the phone's clock; None if it was sent at once."""

    key: UUID | None = None
    tapped_at: datetime | None = None


@transaction.atomic
def take_in(visit: Visit, sent: Sent, *, change: Callable[[datetime], object], by: Person, now: datetime) -> None:
    """Makes the change once, however often it arrives. change: is given the time that it counts from.

    A change that is refused leaves no key behind, so that it can be mended and sent again.
    """

    def made() -> None:
        if sent.tapped_at is None:
            change(now)
        else:
            _made_later(visit, sent.tapped_at, change, by=by, now=now)

    if sent.key is None:
        made()
    else:
        once(visit, key=sent.key, change=made, by=by, now=now)


def _made_later(
    visit: Visit, tapped_at: datetime, change: Callable[[datetime], object], *, by: Person, now: datetime
) -> None:
    """The first of several that waited opens the card when it was tapped, so that none of the rest came before it."""
    visit = visit_for_change(visit)
    card = Card.objects.filter(visit=visit).first()
    at = time_of_tap(tapped_at, opened_at=card.opened_at if card else None, now=now)
    cards.opened(visit, by=by, now=at)
    change(at)
    trail.about_visit(visit, "sent what had waited for the signal", by=by, now=now, tapped_at=at.isoformat())
