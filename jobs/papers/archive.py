"""All invoices and credit notes of a period in one file: papers, both kinds of XML, and the values of the chain."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator
from hashlib import sha256
from typing import IO
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

from garage.core.text.languages import in_english
from jobs.core.documents.cii import cii
from jobs.core.documents.ubl import ubl
from jobs.models.book import Invoice
from jobs.papers.invoice import invoice_file_name, invoice_pdf
from jobs.reads.documents import document_of
from jobs.reads.papers import kept_paper

CHAIN = "chain.csv"
HEAD = ("number", "kind", "issued on", "currency", "net", "VAT", "total", "SHA-256 of the PDF", "value before", "value")
READABLE = 0o644 << 16  # as a ZIP keeps a Unix file's rights


def write_archive(invoices: Iterable[Invoice], into: IO[bytes]) -> None:
    """The same invoices give the same bytes. One whose buyer is gone by the law has a paper and no XML."""
    rows: list[tuple[object, ...]] = []
    with ZipFile(into, "w", ZIP_DEFLATED) as file:
        for invoice in invoices:
            pdf = kept_paper(invoice) or invoice_pdf(invoice)
            for name, content in (("pdf", pdf), *_for_programs(invoice)):
                _put(file, f"{name}/{invoice_file_name(invoice, 'pdf' if name == 'pdf' else 'xml')}", content, invoice)
            rows.append(_row(invoice, pdf))
            last = invoice
        if rows:
            _put(file, CHAIN, _csv(rows), last)


def _for_programs(invoice: Invoice) -> Iterator[tuple[str, bytes]]:
    if document := document_of(invoice):
        yield "cii", cii(document)
        yield "ubl", ubl(document)


def _row(invoice: Invoice, pdf: bytes) -> tuple[object, ...]:
    link = getattr(invoice, "link", None)
    kind = in_english(lambda: invoice.title).rsplit(" ", 1)[0]
    sums = (invoice.currency, invoice.net, invoice.vat, invoice.gross)
    values = (link.previous, link.value) if link else ("", "")
    return (invoice.number, kind, invoice.issued_on.isoformat(), *sums, sha256(pdf).hexdigest(), *values)


def _csv(rows: Iterable[tuple[object, ...]]) -> bytes:
    """RFC 4180."""
    text = io.StringIO(newline="")
    csv.writer(text).writerows([HEAD, *rows])
    return text.getvalue().encode()


def _put(file: ZipFile, name: str, content: bytes, invoice: Invoice) -> None:
    day = invoice.issued_on
    entry = ZipInfo(name, (day.year, day.month, day.day, 0, 0, 0))
    entry.external_attr = READABLE
    file.writestr(entry, content, ZIP_DEFLATED)
