"""Owners of whom nothing need be kept any more."""

from __future__ import annotations

from datetime import datetime

from django.db.models import Exists, Max, OuterRef, Q, QuerySet
from django.db.models.functions import Coalesce

from garage.core import states
from garage.core.keeping.periods import NEVER_INVOICED, invoices_before
from garage.models.owners import Owner
from garage.models.visits import Visit
from garage.reads.keeping import ENDED
from jobs.models.book import Invoice


def owners_past_their_time(now: datetime) -> QuerySet[Owner]:
    """Whose last visit is over for longer than an invoice is kept, or than somebody without one is; the longest ago
    first. Records joined to another go with it.
    """
    theirs = Visit.objects.filter(owner=OuterRef("pk"))
    last = theirs.values("owner").annotate(last=Max(ENDED)).values("last")
    rows = Owner.objects.filter(joined_into=None, erased_at=None).annotate(
        last=Coalesce(last, "first_seen_at"),
        has_invoice=Exists(Invoice.objects.filter(visit__owner=OuterRef("pk"))),
    )
    rows = rows.exclude(Exists(theirs.exclude(state__in=states.OVER)))
    is_past = Q(has_invoice=False, last__lt=NEVER_INVOICED.before(now)) | Q(last__lt=invoices_before(now))
    return rows.filter(is_past).order_by("last", "pk")
