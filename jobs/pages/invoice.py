"""Everything that an issued invoice's page shows."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from jobs.core.billing.invoice import NOTHING
from jobs.core.billing.sums import InvoiceSums
from jobs.models.book import CreditNote, Invoice, InvoiceLine, KeptDeposit, Paper, Payment
from jobs.reads.access import notes_on, paper_of
from jobs.reads.book import frozen_sums, left_with


@dataclass(frozen=True)
class InvoicePage:
    """kept: of the paper of a deposit that was kept. notes: what credit notes took off it. credit: of a credit note."""

    invoice: Invoice
    lines: list[InvoiceLine]
    totals: InvoiceSums
    payments: list[Payment]
    left: Decimal
    paper: Paper | None
    kept: KeptDeposit | None
    credit: CreditNote | None
    notes: list[CreditNote]
    chain_value: str

    @property
    def still_stands(self) -> Decimal:
        """Less what credit notes took off."""
        return self.invoice.gross + sum((note.invoice.gross for note in self.notes), NOTHING)

    @property
    def is_registered(self) -> bool:
        return bool(self.invoice.seller["vat_number"])


def invoice_page(invoice: Invoice) -> InvoicePage:
    payments = list(invoice.payments.select_related("by"))
    notes = notes_on(invoice)
    kept: KeptDeposit | None = getattr(invoice, "kept_deposit", None)
    return InvoicePage(
        invoice=invoice,
        lines=list(invoice.lines.all()),
        totals=frozen_sums(invoice),
        payments=payments,
        left=left_with(invoice, payments, notes),
        paper=paper_of(invoice),
        kept=kept,
        credit=getattr(invoice, "credit_note", None),
        notes=notes,
        chain_value=invoice.link.value if hasattr(invoice, "link") else "",
    )
