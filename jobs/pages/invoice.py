"""An issued invoice with all that its page and its paper show."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from jobs.core.invoice import Totals
from jobs.models.book import Invoice, InvoiceLine, Paper, Payment
from jobs.pages.book import Rate


@dataclass(frozen=True)
class Sums:
    """left: gross less the deposit; below nothing where the deposit was larger."""

    net: Decimal
    vat: Decimal
    gross: Decimal
    deposit: Decimal
    rates: list[Rate]

    @property
    def left(self) -> Decimal:
        return self.gross - self.deposit


@dataclass(frozen=True)
class InvoicePage:
    invoice: Invoice
    lines: list[InvoiceLine]
    totals: Sums
    payments: list[Payment]
    left: Decimal
    paper: Paper | None

    @property
    def is_registered(self) -> bool:
        return bool(self.invoice.seller["vat_number"])


def sums_of(totals: Totals) -> Sums:
    """Of an invoice to be."""
    rates = [Rate(str(rate.percent), rate.net, rate.vat) for rate in totals.by_rate]
    return Sums(totals.net, totals.vat, totals.gross, totals.deposit, rates)


def frozen_sums(invoice: Invoice) -> Sums:
    rates = [Rate(percent, Decimal(net), Decimal(vat)) for percent, net, vat in invoice.vat_by_rate]
    return Sums(invoice.net, invoice.vat, invoice.gross, invoice.deposit, rates)


def invoice_page(invoice: Invoice) -> InvoicePage:
    payments, totals = list(invoice.payments.select_related("by")), frozen_sums(invoice)
    left = totals.left - sum(payment.amount for payment in payments)
    paper = Paper.objects.filter(invoice=invoice).first()
    return InvoicePage(invoice, list(invoice.lines.all()), totals, payments, left, paper)
