"""The book's documents as the chain hashes them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime

from garage.core.keeping.periods import invoices_before
from jobs.core.documents.chain import FIRST, LINE_MAY_GO, LINE_STAYS, MAY_GO, STAYS, Frozen, Linked
from jobs.models.book import Invoice, InvoiceLine, Series
from jobs.models.chain import BookCheck, ChainLink

AT_ONCE = 500  # documents held in memory


def invoice_columns(invoice: Invoice) -> Mapping[str, object]:
    return {name: getattr(invoice, name) for name in (*STAYS, *MAY_GO)}


def line_columns(lines: Sequence[InvoiceLine]) -> list[Mapping[str, object]]:
    return [{name: getattr(line, name) for name in (*LINE_STAYS, *LINE_MAY_GO)} for line in lines]


def last_value(series: str) -> tuple[str, int]:
    """Of the document issued last, with its number: links are made under the series' lock, so in order. Before the
    first: FIRST and 0.
    """
    rows = ChainLink.objects.filter(series=series).order_by("-pk")
    return rows.values_list("value", "invoice__number").first() or (FIRST, 0)


def not_linked(*, after: int, below: int) -> list[Invoice]:
    """Frozen documents with a number between the two."""
    rows = Invoice.objects.filter(number__gt=after, number__lt=below, link=None).exclude(frozen_at=None)
    return list(rows.prefetch_related("lines").order_by("number"))


def documents(*, now: datetime) -> Iterator[Frozen]:
    """All of the book, by number."""
    rows = Invoice.objects.select_related("link").prefetch_related("lines").order_by("number")
    forgotten_before = invoices_before(now)
    for invoice in rows.iterator(chunk_size=AT_ONCE):
        link: ChainLink | None = getattr(invoice, "link", None)
        yield Frozen(
            number=invoice.number,
            invoice=invoice_columns(invoice),
            lines=line_columns(list(invoice.lines.all())),
            may_be_wordless=invoice.issued_at < forgotten_before,
            link=Linked(link.salt, link.words_hash, link.previous, link.value) if link else None,
        )


def last_number(series: str) -> int:
    return Series.objects.filter(name=series).values_list("last", flat=True).first() or 0


def last_check() -> BookCheck | None:
    return BookCheck.objects.first()
