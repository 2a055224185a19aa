"""The book: what was invoiced, what came in, what is still to be paid, VAT by rate."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import DecimalField, ExpressionWrapper, F, OuterRef, QuerySet, Subquery, Sum, Value
from django.db.models.functions import Coalesce

from garage.reads.shop import local_time
from jobs.core.invoice import NOTHING
from jobs.models.book import Invoice, Payment

_POUNDS = DecimalField(max_digits=9, decimal_places=3)
_HALF_PENNY = Decimal("0.005")


@dataclass(frozen=True)
class Rate:
    """What was invoiced at one VAT rate."""

    percent: str
    net: Decimal
    vat: Decimal

    @property
    def gross(self) -> Decimal:
        return self.net + self.vat


@dataclass(frozen=True)
class BookPage:
    """Invoices and payments of local days first to last; unpaid and deposits_held as of now, whatever the period."""

    first: date
    last: date
    invoices: list[Invoice]
    payments: list[Payment]
    net: Decimal
    vat: Decimal
    gross: Decimal
    rates: list[Rate]
    came_in: Decimal
    came_in_by: list[tuple[str, Decimal]]
    unpaid: list[Invoice]
    unpaid_sum: Decimal
    deposits_held: Decimal


def paid_against(invoice: Invoice) -> Decimal:
    return _sum(Payment.objects.filter(invoice=invoice).values_list("amount", flat=True))


def left_to_pay(invoice: Invoice) -> Decimal:
    """Below nothing: to be given back, as a deposit larger than the invoice leaves it."""
    return invoice.gross - invoice.deposit - paid_against(invoice)


def with_paid(invoices: QuerySet[Invoice]) -> list[Invoice]:
    """Each invoice with .paid, the payments against it, and .left; summed here, for SQLite sums in binary floats."""
    rows = list(invoices.select_related("visit").prefetch_related("payments"))
    for invoice in rows:
        invoice.paid = _sum(payment.amount for payment in invoice.payments.all())
        invoice.left = invoice.gross - invoice.deposit - invoice.paid
    return rows


def unpaid_invoices() -> list[Invoice]:
    """All with something left to pay or to give back. The database narrows them down, the penny is judged here."""
    sums = Payment.objects.filter(invoice=OuterRef("pk")).order_by().values("invoice").annotate(sum=Sum("amount"))
    paid = Coalesce(Subquery(sums.values("sum")), Value(NOTHING), output_field=_POUNDS)
    left = ExpressionWrapper(F("gross") - F("deposit") - paid, output_field=_POUNDS)
    near = Invoice.objects.annotate(about_left=left).exclude(about_left__gt=-_HALF_PENNY, about_left__lt=_HALF_PENNY)
    return [invoice for invoice in with_paid(near) if invoice.left]


def book_page(first: date, last: date) -> BookPage:
    begins, ends = local_time().bounds(first, last)
    invoices = with_paid(Invoice.objects.filter(issued_on__range=(first, last)))
    payments = list(
        Payment.objects.filter(at__gte=begins, at__lt=ends).select_related("visit", "invoice", "by").order_by("-at")
    )
    unpaid = unpaid_invoices()
    held = Payment.objects.filter(is_deposit=True, visit__invoices=None).values_list("amount", flat=True)
    return BookPage(
        first=first,
        last=last,
        invoices=invoices,
        payments=payments,
        net=_sum(i.net for i in invoices),
        vat=_sum(i.vat for i in invoices),
        gross=_sum(i.gross for i in invoices),
        rates=_rates(invoices),
        came_in=_sum(p.amount for p in payments),
        came_in_by=_came_in_by(payments),
        unpaid=unpaid,
        unpaid_sum=_sum(i.left for i in unpaid),
        deposits_held=_sum(held),
    )


def _sum(amounts: Iterable[Decimal]) -> Decimal:
    return sum(amounts, NOTHING)


def _rates(invoices: Iterable[Invoice]) -> list[Rate]:
    """Sums of the figures as they stand on the invoices: nothing is rounded again."""
    sums: dict[str, list[Decimal]] = defaultdict(lambda: [NOTHING, NOTHING])
    for invoice in invoices:
        for percent, net, vat in invoice.vat_by_rate:
            sums[percent][0] += Decimal(net)
            sums[percent][1] += Decimal(vat)
    return [Rate(percent, *sums[percent]) for percent in sorted(sums, key=Decimal, reverse=True)]


def _came_in_by(payments: Iterable[Payment]) -> list[tuple[str, Decimal]]:
    sums: dict[str, Decimal] = defaultdict(lambda: NOTHING)
    for payment in payments:
        sums[payment.get_how_display()] += payment.amount
    return sorted(sums.items())
