"""Each frozen document gets its link, and the whole book is looked through."""

from __future__ import annotations

import secrets
from collections.abc import Sequence
from dataclasses import asdict
from datetime import datetime

from jobs.core.documents.chain import FIRST, faults, linked
from jobs.models.book import Invoice, InvoiceLine
from jobs.models.chain import BookCheck, ChainLink
from jobs.reads.chain import documents, invoice_columns, last_number, last_value, line_columns, not_linked

SALT_BYTES = 16
MOST_KEPT = 50  # faults that are told one by one: after a drop of many rows nobody reads more


def link(invoice: Invoice, lines: Sequence[InvoiceLine], *, series: str) -> None:
    """Inside the change that freezes it, while the series is locked. With those before it that have none: the earlier
    release still served while this one's migration ran, and issued them.
    """
    value, number = last_value(series)
    between = not_linked(after=number, below=invoice.number) if number + 1 < invoice.number else []
    for each, its_lines in [*((row, list(row.lines.all())) for row in between), (invoice, lines)]:
        salt = secrets.token_hex(SALT_BYTES)
        columns, of_lines = invoice_columns(each), line_columns(its_lines)
        made = linked(columns, of_lines, series=series, previous=value, salt=salt)
        ChainLink.objects.create(invoice=each, series=series, **asdict(made))
        value = made.value


def look_through(*, series: str, now: datetime) -> BookCheck:
    """All documents, whatever their number. What was found is kept until the next look."""
    found = list(faults(documents(now=now), series=series, last=last_number(series)))
    values = {
        "at": now,
        "documents": Invoice.objects.count(),
        "last_value": value if (value := last_value(series)[0]) != FIRST else "",
        "faults": [fault.words for fault in found[:MOST_KEPT]],
        "fault_count": len(found),
    }
    return BookCheck.objects.update_or_create(id=1, defaults=values)[0]
