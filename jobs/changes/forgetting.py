"""Invoices past the time that the law asks for: the sums stay in the book. Whom they were written to goes, and all
words, since people write names anywhere.
"""

from __future__ import annotations

from collections import Counter
from contextlib import suppress
from datetime import datetime
from functools import partial

from django.db import transaction

from garage.changes import trail
from garage.changes.forgetting import may_forget
from garage.changes.people.erasing import erase
from garage.core.errors import Refused
from garage.core.keeping.counts import counted
from garage.core.keeping.periods import INVOICES, invoices_before
from garage.models.actors import SYSTEM
from jobs.models.book import CreditNote, Invoice, InvoiceLine, KeptDeposit, Paper
from jobs.models.chain import ChainLink
from jobs.reads.keeping import owners_past_their_time

BATCH = 200  # invoices, each few in a transaction of their own


def forget_old(*, now: datetime) -> Counter[str]:
    gone: Counter[str] = Counter()
    while some := _forget_some(now):
        gone += some
    if gone:
        did = f"let go whom invoices were written to, {INVOICES.words} after their business year: {counted(gone)}"
        trail.wrote(did=did, about="the shop", by=SYSTEM, now=now)
    return gone


def forget_owners(*, now: datetime) -> int:
    """Owners whose time is over, as if they had asked. One with a card that is open again waits until it is closed."""
    many = 0
    for owner in owners_past_their_time(now)[:BATCH]:
        with suppress(Refused):
            erase(owner, by=SYSTEM, now=now)
            many += 1
    if many:
        trail.wrote(did=f"erased {counted({'owners': many})} past their time", about="the shop", by=SYSTEM, now=now)
    return many


def _forget_some(now: datetime) -> Counter[str]:
    old = Invoice.objects.filter(issued_at__lt=invoices_before(now)).exclude(buyer={})
    if not old.exists():
        return Counter()
    with may_forget("invoices past their time", by=SYSTEM, now=now):
        some = [invoice.pk for invoice in old.order_by("number")[:BATCH]]
        papers = list(Paper.objects.filter(invoice__in=some).exclude(file=""))
        Paper.objects.filter(pk__in=[paper.pk for paper in papers]).update(file="", sha256="")
        for model in (KeptDeposit, CreditNote):
            model._default_manager.filter(invoice__in=some).update(why="")
        InvoiceLine.objects.filter(invoice__in=some).update(words="")
        Invoice.objects.filter(pk__in=some).update(buyer={}, machine="", exemption_words="")
        ChainLink.objects.filter(invoice__in=some).update(salt="")
        for paper in papers:
            transaction.on_commit(partial(paper.file.delete, save=False), robust=True)
    return +Counter({"invoices": len(some), "papers": len(papers)})
