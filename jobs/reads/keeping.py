"""Owners of whom nothing need be kept any more."""

from __future__ import annotations

from datetime import datetime

from django.db.models import Exists, Max, OuterRef, Q, QuerySet
from django.db.models.functions import Coalesce

from garage.core import states
from garage.core.keeping.periods import NEVER_CONFIRMED, NEVER_INVOICED, invoices_before
from garage.models.owners import Owner
from garage.models.visits import Visit
from garage.reads.keeping import ENDED
from jobs.models.book import CounterSale, Invoice


def owners_past_their_time(now: datetime) -> QuerySet[Owner]:
    """Whose last visit is over for longer than an invoice is kept, or than somebody without one is, or who never
    confirmed a booking; the longest ago first. Not who has bought over the counter since. Records joined to another go
    with it.
    """
    theirs = Visit.objects.filter(owner=OuterRef("pk"))
    last = theirs.values("owner").annotate(last=Max(ENDED)).values("last")
    rows = Owner.objects.filter(joined_into=None, erased_at=None).annotate(
        last=Coalesce(last, "first_seen_at"),
        has_invoice=Exists(Invoice.objects.filter(visit__owner=OuterRef("pk"))),
        only_lapsed=Exists(theirs) & ~Exists(theirs.exclude(state=states.LAPSED)),
    )
    sales = CounterSale.objects.filter(owner=OuterRef("pk"), invoice__issued_at__gte=invoices_before(now))
    rows = rows.exclude(Exists(sales))
    rows = rows.exclude(Exists(theirs.exclude(state__in=states.OVER)))
    is_past = Q(has_invoice=False, last__lt=NEVER_INVOICED.before(now)) | Q(last__lt=invoices_before(now))
    never_came_about = Q(only_lapsed=True, last__lt=NEVER_CONFIRMED.before(now))
    return rows.filter(is_past | never_came_about).order_by("last", "pk")
