"""The one place where frozen rows may lose what names somebody."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime

from django.db import transaction

from garage.models.actors import Actor, person_of
from garage.models.forgetting import Forgetting


@contextmanager
def may_forget(what: str, *, by: Actor, now: datetime) -> Iterator[None]:
    """A transaction in which it is allowed (garage/models/triggers.py). The row that allows it is never seen by
    others while it does: it is closed before the transaction ends.
    """
    with transaction.atomic():
        row = Forgetting.objects.create(what=what, at=now, by=person_of(by))
        yield
        row.done_at = now
        row.save(update_fields=["done_at"])
