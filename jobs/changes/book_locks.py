"""Whoever changes what is left on an invoice waits in turn: behind its visit, or behind itself if it has none."""

from __future__ import annotations

from datetime import datetime

from garage.changes import trail
from garage.changes.day.locks import visit_for_change
from garage.models.actors import Actor
from jobs.models.book import Invoice


def lock(invoice: Invoice) -> None:
    """Until the transaction ends."""
    if invoice.visit:
        visit_for_change(invoice.visit)
    else:
        Invoice.objects.select_for_update(of=("self",)).get(pk=invoice.pk)


def wrote(invoice: Invoice, did: str, *, by: Actor, now: datetime, number: int) -> None:
    """number: of the paper that the trail leads to."""
    about = f"visit {invoice.visit.number}" if invoice.visit else f"invoice {invoice.number}"
    trail.wrote(did=did, about=about, by=by, now=now, visit=invoice.visit, invoice=number)
