"""Invoices and payments: frozen sums, what was paid and what is left to pay."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any, cast

from django.db.models import (
    DecimalField,
    Exists,
    ExpressionWrapper,
    F,
    OuterRef,
    Q,
    QuerySet,
    Subquery,
    Sum,
    Value,
)
from django.db.models.functions import Coalesce

from garage.models.owners import Owner
from garage.models.visits import Visit
from jobs.core.billing.credit import Creditable
from jobs.core.billing.invoice import NOTHING, STANDARD, ZERO, VatCategory
from jobs.core.billing.sums import InvoiceSums, RateSum, left_to_pay
from jobs.models.book import CreditNote, Invoice, InvoiceLine, KeptDeposit, Payment
from jobs.reads.access import invoices_for_work

_POUNDS = DecimalField(max_digits=12, decimal_places=3)
_HALF_PENNY = Decimal("0.005")


@dataclass(frozen=True)
class Owed:
    """left: still to pay; below 0 is owed back."""

    invoice: Invoice
    left: Decimal


def frozen_sums(invoice: Invoice) -> InvoiceSums:
    rates = frozen_rates(invoice)
    return InvoiceSums(invoice.net, invoice.vat, invoice.gross, invoice.deposit, rates, invoice.deposit_vat)


def frozen_rates(invoice: Invoice) -> tuple[RateSum, ...]:
    return tuple(_frozen_rate(*rate) for rate in invoice.vat_by_rate)


def _frozen_rate(percent: str, net: str, vat: str, category: str = "") -> RateSum:
    """Papers of before categories were written name none: what carried 0 % was zero-rated."""
    return RateSum(percent, Decimal(net), Decimal(vat), category or (STANDARD if Decimal(percent) else ZERO))


def left_on(invoice: Invoice) -> Decimal:
    """What is left to pay, once credit notes have taken theirs off. Of a credit note itself nothing is."""
    return _left_on([invoice])[invoice.pk]


def left_with(invoice: Invoice, payments: Iterable[Payment], notes: Iterable[CreditNote]) -> Decimal:
    """The same of one whose payments and credit notes were read already."""
    papers = [note.invoice for note in notes]
    back = [paid.amount for paper in papers for paid in paper.payments.all()]
    paid = sum([*(row.amount for row in payments), *back], NOTHING)
    return _left(invoice, sum((paper.gross for paper in papers), NOTHING), paid)


def creditable(invoice: Invoice) -> list[Creditable]:
    """Its lines, with what credit notes have taken off each."""
    taken: dict[int | None, list[Decimal]] = {}
    notes = InvoiceLine.objects.filter(corrects__invoice=invoice).values_list("corrects", "net", "gross")
    for line_id, net, gross in notes:
        before = taken.setdefault(line_id, [NOTHING, NOTHING])
        taken[line_id] = [before[0] - net, before[1] - gross]
    return [_creditable(line, *taken.get(line.pk, [NOTHING, NOTHING])) for line in invoice.lines.all()]


def _creditable(line: InvoiceLine, net_taken: Decimal, taken: Decimal) -> Creditable:
    return Creditable(
        line.index,
        line.words,
        line.vat_percent,
        cast("VatCategory", line.vat_category),
        line.net,
        line.gross,
        net_taken,
        taken,
    )


def paid_with_notes(invoice: Invoice) -> Decimal:
    """Payments against it, less what went back with its credit notes."""
    rows = Payment.objects.filter(Q(invoice=invoice) | Q(invoice__credit_note__corrects=invoice))
    return sum(rows.values_list("amount", flat=True), NOTHING)


def given_back(kept: KeptDeposit) -> Decimal:
    """Pounds of a kept deposit that its credit notes gave back."""
    return -sum(kept.credit_notes.values_list("invoice__gross", flat=True), NOTHING)


def issued(first: date, last: date) -> list[Owed]:
    """Invoices issued on those days, both included."""
    return _owed(Invoice.objects.filter(issued_on__range=(first, last)))


def unpaid() -> list[Owed]:
    """All with something left to pay or owed back. The database narrows them down; the exact check is done here."""
    paid = _sum_of(Payment.objects.filter(invoice=OuterRef("pk")), "invoice", "amount")
    noted = Payment.objects.filter(invoice__credit_note__corrects=OuterRef("pk"))
    back = _sum_of(noted, "invoice__credit_note__corrects", "amount")
    off = _sum_of(CreditNote.objects.filter(corrects=OuterRef("pk")), "corrects", "invoice__gross")
    left = ExpressionWrapper(F("gross") + off - F("deposit") - paid - back, output_field=_POUNDS)
    rows = Invoice.objects.filter(credit_note=None).annotate(about_left=left)
    near = rows.exclude(about_left__gt=-_HALF_PENNY, about_left__lt=_HALF_PENNY)
    return [row for row in _owed(near) if row.left]


def unpaid_of(visits: Collection[Visit]) -> dict[int, Invoice]:
    """By the visit's id: the invoice of its work, where something is left to pay on it."""
    owed = _owed(invoices_for_work().filter(visit__in=visits))
    return {row.invoice.visit.pk: row.invoice for row in owed if row.invoice.visit and row.left > 0}


def _sum_of(rows: QuerySet[Any], whose: str, what: str) -> Coalesce:
    """As a subquery; rows are those of OuterRef."""
    sums = rows.order_by().values(whose).annotate(sum=Sum(what))
    return Coalesce(Subquery(sums.values("sum")), Value(NOTHING), output_field=_POUNDS)


def came_in(since: datetime, until: datetime) -> list[Payment]:
    """Payments from since (inclusive) to until (exclusive), newest first."""
    rows = Payment.objects.filter(at__gte=since, at__lt=until)
    return list(rows.select_related("visit", "invoice__credit_note", "by").order_by("-at"))


def papers_of(owners: Collection[Owner]) -> list[Invoice]:
    """Invoices and credit notes of their visits and of what was sold to them over the counter, oldest first."""
    theirs = Q(visit__owner__in=owners) | Q(counter_sale__owner__in=owners)
    rows = Invoice.objects.filter(theirs).select_related("credit_note")
    return list(rows.order_by("number"))


def payments_of(owners: Collection[Owner]) -> list[Payment]:
    theirs = Q(visit__owner__in=owners) | Q(invoice__counter_sale__owner__in=owners)
    return list(Payment.objects.filter(theirs).select_related("invoice"))


def deposits_held() -> Decimal:
    """Deposits of visits whose work is not invoiced yet. One that was kept is income, with a paper."""
    for_work = invoices_for_work().filter(visit=OuterRef("visit"))
    kept = KeptDeposit.objects.filter(visit=OuterRef("visit"), at__gte=OuterRef("at"))
    rows = Payment.objects.filter(~Exists(for_work), ~Exists(kept), is_deposit=True)
    return sum(rows.values_list("amount", flat=True), NOTHING)


def _owed(invoices: QuerySet[Invoice]) -> list[Owed]:
    rows = list(invoices.select_related("visit", "credit_note", "counter_sale"))
    left = _left_on(rows)
    return [Owed(row, left[row.pk]) for row in rows]


def _left_on(rows: Collection[Invoice]) -> dict[int, Decimal]:
    """By id. What a credit note takes off, and the money that goes back with it, count on the invoice that it corrects:
    of the note itself nothing is left. Summed here, since SQLite sums in binary floats.
    """
    ids = [row.pk for row in rows]
    off, paid = dict.fromkeys(ids, NOTHING), dict.fromkeys(ids, NOTHING)
    for corrected, gross in CreditNote.objects.filter(corrects__in=ids).values_list("corrects", "invoice__gross"):
        off[corrected] += gross
    payments = Payment.objects.filter(Q(invoice__in=ids) | Q(invoice__credit_note__corrects__in=ids))
    for own, corrected, amount in payments.values_list("invoice", "invoice__credit_note__corrects", "amount"):
        counts_on = corrected or own
        paid[counts_on] = paid.get(counts_on, NOTHING) + amount
    return {row.pk: _left(row, off[row.pk], paid[row.pk]) for row in rows}


def _left(row: Invoice, off: Decimal, paid: Decimal) -> Decimal:
    return NOTHING if hasattr(row, "credit_note") else left_to_pay(row.gross + off, row.deposit, [paid])
