"""Everything that an issued invoice's page shows."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from jobs.core.sums import InvoiceSums, left_to_pay
from jobs.models.book import Invoice, InvoiceLine, Paper, Payment
from jobs.reads.access import paper_of
from jobs.reads.book import frozen_sums


@dataclass(frozen=True)
class InvoicePage:
    invoice: Invoice
    lines: list[InvoiceLine]
    totals: InvoiceSums
    payments: list[Payment]
    left: Decimal
    paper: Paper | None

    @property
    def is_registered(self) -> bool:
        return bool(self.invoice.seller["vat_number"])


def invoice_page(invoice: Invoice) -> InvoicePage:
    payments = list(invoice.payments.select_related("by"))
    left = left_to_pay(invoice.gross, invoice.deposit, [payment.amount for payment in payments])
    return InvoicePage(invoice, list(invoice.lines.all()), frozen_sums(invoice), payments, left, paper_of(invoice))
