"""The invoice as a PDF, made only from frozen rows, so making it again gives the same content."""

from django.template.loader import render_to_string

from garage.output.pdf import pdf
from garage.reads.safety import safety_remarks_of
from jobs.models.book import Invoice
from jobs.reads.book import frozen_sums


def invoice_pdf(invoice: Invoice) -> bytes:
    totals = frozen_sums(invoice)
    kept = getattr(invoice, "kept_deposit", None)
    values = {"invoice": invoice, "lines": list(invoice.lines.all()), "totals": totals, "kept": kept}
    values["credit"] = credit = getattr(invoice, "credit_note", None)
    visit = None if credit else invoice.visit
    values["safety"] = list(safety_remarks_of(visit).filter(at__lte=invoice.issued_at)) if visit else []
    return pdf(render_to_string("papers/invoice.html", values | {"left": totals.left, "back": -totals.left}))


def invoice_file_name(invoice: Invoice) -> str:
    return f"{invoice.title.lower().replace(' ', '-')}.pdf"
