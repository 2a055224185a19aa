"""Invoices and payments: frozen sums, what was paid and what is left to pay."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from django.db.models import DecimalField, Exists, ExpressionWrapper, F, OuterRef, QuerySet, Subquery, Sum, Value
from django.db.models.functions import Coalesce

from garage.core.money import MOST, to_penny
from garage.models.visits import Visit
from jobs.core.invoice import NOTHING, STANDARD, ZERO
from jobs.core.sums import InvoiceSums, RateSum, left_to_pay
from jobs.models.book import Invoice, KeptDeposit, Payment
from jobs.reads.access import card_of, invoices_for_work
from jobs.reads.cards import parts_come_to

_POUNDS = DecimalField(max_digits=12, decimal_places=3)
_HALF_PENNY = Decimal("0.005")


@dataclass(frozen=True)
class Owed:
    """left: still to pay; below 0 is owed back."""

    invoice: Invoice
    left: Decimal


def frozen_sums(invoice: Invoice) -> InvoiceSums:
    return InvoiceSums(invoice.net, invoice.vat, invoice.gross, invoice.deposit, frozen_rates(invoice))


def frozen_rates(invoice: Invoice) -> tuple[RateSum, ...]:
    return tuple(_frozen_rate(*rate) for rate in invoice.vat_by_rate)


def _frozen_rate(percent: str, net: str, vat: str, category: str = "") -> RateSum:
    """Papers of before categories were written name none: what carried 0 % was zero-rated."""
    return RateSum(percent, Decimal(net), Decimal(vat), category or (STANDARD if Decimal(percent) else ZERO))


def paid_against(invoice: Invoice) -> Decimal:
    return sum(Payment.objects.filter(invoice=invoice).values_list("amount", flat=True), NOTHING)


def most_deposit(visit: Visit) -> Decimal:
    """Pounds that may be paid before the invoice: what was asked for, or the price and the parts on the card."""
    card = card_of(visit)
    comes_to = visit.price + (parts_come_to(card) if card else NOTHING)
    return min(max(visit.deposit, to_penny(comes_to)), MOST)


def left_on(invoice: Invoice) -> Decimal:
    return left_to_pay(invoice.gross, invoice.deposit, [paid_against(invoice)])


def given_back(kept: KeptDeposit) -> Decimal:
    """Pounds of a kept deposit that its credit notes gave back."""
    return -sum(kept.credit_notes.values_list("invoice__gross", flat=True), NOTHING)


def issued(first: date, last: date) -> list[Owed]:
    """Invoices issued on those days, both included."""
    return _owed(Invoice.objects.filter(issued_on__range=(first, last)))


def unpaid() -> list[Owed]:
    """All with something left to pay or owed back. The database narrows them down; the exact check is done here."""
    sums = Payment.objects.filter(invoice=OuterRef("pk")).order_by().values("invoice").annotate(sum=Sum("amount"))
    paid = Coalesce(Subquery(sums.values("sum")), Value(NOTHING), output_field=_POUNDS)
    left = ExpressionWrapper(F("gross") - F("deposit") - paid, output_field=_POUNDS)
    near = Invoice.objects.annotate(about_left=left).exclude(about_left__gt=-_HALF_PENNY, about_left__lt=_HALF_PENNY)
    return [row for row in _owed(near) if row.left]


def came_in(since: datetime, until: datetime) -> list[Payment]:
    """Payments from since (inclusive) to until (exclusive), newest first."""
    rows = Payment.objects.filter(at__gte=since, at__lt=until)
    return list(rows.select_related("visit", "invoice__credit_note", "by").order_by("-at"))


def deposits_held() -> Decimal:
    """Deposits of visits whose work is not invoiced yet. One that was kept is income, with a paper."""
    for_work = invoices_for_work().filter(visit=OuterRef("visit"))
    kept = KeptDeposit.objects.filter(visit=OuterRef("visit"), at__gte=OuterRef("at"))
    rows = Payment.objects.filter(~Exists(for_work), ~Exists(kept), is_deposit=True)
    return sum(rows.values_list("amount", flat=True), NOTHING)


def _owed(invoices: QuerySet[Invoice]) -> list[Owed]:
    """Summed here, since SQLite sums in binary floats."""
    rows = invoices.select_related("visit", "credit_note").prefetch_related("payments")
    return [Owed(row, left_to_pay(row.gross, row.deposit, [p.amount for p in row.payments.all()])) for row in rows]
