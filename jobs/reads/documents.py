"""A frozen invoice or credit note as the document that bookkeepers' programs read."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from django.db.models import QuerySet

from garage.core.currencies import tax_on_paper
from garage.core.paid_to import HOME, is_iban
from jobs.core.billing.invoice import OUTSIDE
from jobs.core.documents.document import Account, Corrected, Document, DocumentLine, Party
from jobs.models.book import Invoice, InvoiceLine

ON_RECEIPT = "Payable on receipt"


def document_of(invoice: Invoice) -> Document | None:
    """None once whom it was written to is gone by the law. What papers of earlier releases did not say is left out.

    A credit note's sums are below 0 in the book and above 0 on its paper.
    """
    if not invoice.buyer:
        return None
    seller, corrects = invoice.seller, _corrected(invoice)
    sign = -1 if corrects else 1
    is_to_pay = not corrects and invoice.gross > invoice.deposit
    due_days = seller.get("due_days") if is_to_pay else None
    return Document(
        number=invoice.number,
        issued_on=invoice.issued_on,
        supplied_on=invoice.supplied_on,
        currency=invoice.currency,
        seller=_seller(seller),
        buyer=_buyer(invoice.buyer, seller),
        lines=tuple(_line(line, sign) for line in invoice.lines.all()),
        net=sign * invoice.net,
        vat=sign * invoice.vat,
        gross=sign * invoice.gross,
        prepaid=invoice.deposit,
        account=None if corrects else _account(seller),
        due_on=None if due_days is None else invoice.issued_on + timedelta(days=due_days),
        terms=invoice.payment_words or ON_RECEIPT,
        notes=_notes(invoice),
        exemption_words=invoice.exemption_words or f"Exempt from {tax_on_paper(seller)}",
        corrects=corrects,
    )


def frozen_between(first: date, last: date) -> QuerySet[Invoice]:
    """Everything issued on those days, both included, by number."""
    rows = Invoice.objects.filter(issued_on__range=(first, last)).exclude(frozen_at=None)
    names = ("visit__owner", "visit__machine", "link", "paper", "kept_deposit", "credit_note__corrects")
    return rows.select_related(*names).prefetch_related("lines").order_by("number")


def _corrected(invoice: Invoice) -> Corrected | None:
    note = getattr(invoice, "credit_note", None)
    return Corrected(note.corrects.number, note.corrects.issued_on) if note else None


def _seller(seller: Mapping[str, Any]) -> Party:
    number = seller.get("vat_number", "")
    return Party(
        name=seller["name"],
        lines=tuple(seller["address"]),
        country=seller.get("country", HOME),
        vat_number=number,
        identifier=seller.get("company_number") or ("" if number else seller["email"]),
        email=seller["email"],
    )


def _buyer(buyer: Mapping[str, Any], seller: Mapping[str, Any]) -> Party:
    """In the garage's own country: owners are not asked for theirs."""
    lines, country = tuple(buyer["address"]), seller.get("country", HOME)
    return Party(name=buyer["name"], lines=lines, country=country, email=buyer.get("email", ""))


def _account(seller: Mapping[str, Any]) -> Account | None:
    number = seller.get("account", "")
    if not number:
        return None
    return Account(number, is_iban(number), seller["account_holder"], seller["bic"])


def _line(line: InvoiceLine, sign: int) -> DocumentLine:
    return DocumentLine(
        index=line.index,
        words=line.words,
        quantity=line.quantity,
        unit=line.unit,
        net=sign * line.net,
        vat=sign * line.vat,
        category=line.vat_category,
        percent=Decimal(0) if line.vat_category == OUTSIDE else line.vat_percent,
    )


def _notes(invoice: Invoice) -> tuple[str, ...]:
    link = getattr(invoice, "link", None)
    chain = (f"Value in the chain of the book: {link.value}",) if link else ()
    machine = (f"Machine: {invoice.machine}",) if invoice.machine else ()
    return (*machine, *chain)
