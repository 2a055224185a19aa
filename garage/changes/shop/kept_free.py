"""How much time is kept free each weekday, for fix-first and for machines in the building."""

from __future__ import annotations

from collections import Counter
from datetime import datetime

from django.db import transaction

from garage.changes import trail
from garage.changes.day import locks
from garage.core.selling.kept_free import PLACE_SAID, KeptFree, check_kept
from garage.core.time.clock import WEEKDAYS
from garage.models.people import Person
from garage.models.shop import KeptTime, OpeningHours, Station


def keep_free(rules: KeptFree, *, by: Person, now: datetime) -> None:
    """All rules of the week at once; 0 minutes keep nothing. What is sold already stays sold. Raises BadInput."""
    hours = {row.weekday: row.hours for row in OpeningHours.objects.all()}
    check_kept(rules, hours, Counter(Station.objects.values_list("kind", flat=True)))
    with transaction.atomic():
        locks.shop_for_change()
        before = [_noted(row) for row in KeptTime.objects.all()]
        KeptTime.objects.all().delete()
        rows = [
            KeptTime(weekday=day, at=at, minutes=minutes) for (day, at), minutes in sorted(rules.items()) if minutes
        ]
        KeptTime.objects.bulk_create(rows)
        kept = [_noted(row) for row in rows]
        if kept != before:
            did = "changed what is kept free"
            trail.wrote(did=did, about="the shop", by=by, now=now, before=before, after=kept)


def _noted(row: KeptTime) -> str:
    return f"{WEEKDAYS[row.weekday]}: {row.minutes} min, {PLACE_SAID[row.at]}"
