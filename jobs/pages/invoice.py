"""Everything that an issued invoice's page shows."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from jobs.core.invoice import NOTHING
from jobs.core.sums import InvoiceSums, left_to_pay
from jobs.models.book import CreditNote, Invoice, InvoiceLine, KeptDeposit, Paper, Payment
from jobs.reads.access import credit_notes_of, paper_of
from jobs.reads.book import frozen_sums


@dataclass(frozen=True)
class InvoicePage:
    """kept: of the paper of a deposit that was kept, with what was given back of it. credit: of a credit note."""

    invoice: Invoice
    lines: list[InvoiceLine]
    totals: InvoiceSums
    payments: list[Payment]
    left: Decimal
    paper: Paper | None
    kept: KeptDeposit | None
    credit: CreditNote | None
    given_back: list[CreditNote]

    @property
    def still_kept(self) -> Decimal:
        return self.invoice.gross + sum((note.invoice.gross for note in self.given_back), NOTHING)

    @property
    def is_registered(self) -> bool:
        return bool(self.invoice.seller["vat_number"])


def invoice_page(invoice: Invoice) -> InvoicePage:
    payments = list(invoice.payments.select_related("by"))
    left = left_to_pay(invoice.gross, invoice.deposit, [payment.amount for payment in payments])
    kept: KeptDeposit | None = getattr(invoice, "kept_deposit", None)
    return InvoicePage(
        invoice=invoice,
        lines=list(invoice.lines.all()),
        totals=frozen_sums(invoice),
        payments=payments,
        left=left,
        paper=paper_of(invoice),
        kept=kept,
        credit=getattr(invoice, "credit_note", None),
        given_back=credit_notes_of(kept) if kept else [],
    )
