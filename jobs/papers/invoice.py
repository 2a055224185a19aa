"""The invoice as a PDF, made only from frozen rows, its language too, so making it again gives the same bytes."""

from __future__ import annotations

from datetime import UTC
from decimal import Decimal

import segno.helpers
from django.template.loader import render_to_string
from django.utils.safestring import SafeString

from garage.core.currencies import EURO, in_currency, tax_on_paper
from garage.core.paid_to import account_words
from garage.core.text.languages import in_english, language_on_paper, told
from garage.output.file_inside import FileInside
from garage.output.pdf import pdf, pdf_to_keep
from garage.output.qr import drawn
from garage.output.speaking import speaking
from garage.reads.safety import safety_remarks_of
from jobs.core.book.papers import tax_point
from jobs.core.documents.cii import FILE_NAME, cii
from jobs.core.documents.document import Document
from jobs.models.book import Invoice
from jobs.papers.factur_x import METADATA
from jobs.reads.book import frozen_sums
from jobs.reads.documents import document_of


def invoice_pdf(invoice: Invoice) -> bytes:
    """PDF/A-3b with the invoice for programs inside. Once its buyer is gone by the law, a plain PDF of what is left."""
    document = document_of(invoice)
    with in_currency(invoice.currency, tax_on_paper(invoice.seller)), speaking(language_on_paper(invoice.buyer)):
        html = render_to_string("papers/invoice.html", _values(invoice, document))
        description = told("{title} for bookkeeping programs", title=invoice.title)
    if document is None:
        return pdf(html)
    inside = FileInside(
        name=FILE_NAME,
        content=cii(document),
        description=description,
        at=invoice.issued_at.astimezone(UTC),
        metadata=METADATA,
    )
    return pdf_to_keep(html, inside)


def invoice_file_name(invoice: Invoice, ending: str = "pdf") -> str:
    title = in_english(lambda: invoice.title)
    return f"{title.lower().replace(' ', '-')}.{ending}"


def transfer_code(document: Document) -> SafeString | None:
    """The code that banking programs read (EPC069-12, version 002): in euros, to an IBAN, with something to pay."""
    account = document.account
    if not (account and account.is_iban and document.currency == EURO and document.payable > 0):
        return None
    text = told("Invoice {number}", number=document.number)
    holder, amount = account.holder[:70], document.payable
    return drawn(segno.helpers.make_epc_qr(holder, account.number, amount, text=text, bic=account.bic or None))


def _values(invoice: Invoice, document: Document | None) -> dict[str, object]:
    totals = frozen_sums(invoice)
    credit = getattr(invoice, "credit_note", None)
    visit = None if credit else invoice.visit  # None too of what was sold over the counter
    safety = list(safety_remarks_of(visit).filter(at__lte=invoice.issued_at)) if visit else []
    account = document.account if document else None
    back: Decimal = -totals.left
    return {
        "invoice": invoice,
        "currency": invoice.currency,
        "lines": list(invoice.lines.all()),
        "totals": totals,
        "kept": getattr(invoice, "kept_deposit", None),
        "credit": credit,
        "safety": safety,
        "left": totals.left,
        "back": back,
        "tax_point": tax_point(invoice.issued_on, invoice.supplied_on),
        "due_on": document.due_on if document else None,
        "account": account,
        "account_words": account_words(account.number) if account else "",
        "code": transfer_code(document) if document else None,
        "link": getattr(invoice, "link", None),
    }
