"""A form with a key counts once, however often it is sent: one that moves money, or that a phone may send twice."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from uuid import UUID

from django.db import transaction

from garage.changes.day.locks import visit_for_change
from garage.core.errors import Refused
from garage.core.keeping.periods import SENT_FORMS
from garage.models.people import Person
from garage.models.visits import Visit
from jobs.models.book import SentForm


@transaction.atomic
def once(visit: Visit | None, *, key: UUID, change: Callable[[], object], by: Person, now: datetime) -> bool:
    """Makes the change, of this visit, unless a form with this key has made it already. Whether it did.

    visit: None of money over the counter. The second of two presses waits and finds the key, behind the visit's lock or
    behind the key's own row. A change that is refused leaves none, so
    that what was typed can be put right and sent again.
    """
    visit = visit_for_change(visit) if visit else None
    sent, is_new = SentForm.objects.get_or_create(key=key, defaults={"visit": visit, "at": now, "by": by})
    if sent.visit_id != (visit.pk if visit else None):
        raise Refused("This form was sent for another visit: open its page again.")
    if is_new:
        change()
    return is_new


def sweep(*, now: datetime) -> None:
    SentForm.objects.filter(at__lt=SENT_FORMS.before(now)).delete()
