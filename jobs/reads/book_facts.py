"""The whole book as plain values, for the journal and the VAT of a period: five queries, whatever its size."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from garage.core.time.local_time import LocalTime
from jobs.core.billing.invoice import NOTHING
from jobs.core.book.papers import PaperFacts, PaymentFacts, RateSums
from jobs.core.book.vat import deposit_rate
from jobs.models.book import CreditNote, Invoice, KeptDeposit, Payment
from jobs.reads.book import frozen_rates


@dataclass(frozen=True)
class BookFacts:
    """papers by number, payments in their order."""

    papers: list[PaperFacts]
    payments: list[PaymentFacts]


def book_facts(local: LocalTime) -> BookFacts:
    papers = list(Invoice.objects.order_by("number"))
    corrects = dict(CreditNote.objects.values_list("invoice__number", "corrects__number"))
    payments = list(Payment.objects.select_related("visit", "invoice"))
    advances = _advances(payments, papers, set(corrects))
    return BookFacts(
        [_paper(row, corrects.get(row.number), advances.get(row.number, [])) for row in papers],
        [_payment(row, local, set(corrects)) for row in payments],
    )


def first_day(local: LocalTime) -> date | None:
    """Of the book; None of an empty one."""
    paid = Payment.objects.order_by("at").values_list("at", flat=True).first()
    issued = Invoice.objects.order_by("issued_on").values_list("issued_on", flat=True).first()
    return min((day for day in (issued, local.day(paid) if paid else None) if day), default=None)


def _paper(row: Invoice, corrects: int | None, advances: list[Payment]) -> PaperFacts:
    rates = tuple(RateSums(rate.percent, rate.category, rate.net, rate.vat) for rate in frozen_rates(row))
    advanced: dict[str, tuple[Decimal, Decimal]] = {}
    for paid in advances:
        if paid.vat is not None:
            net, vat = advanced.get(_percent(paid), (NOTHING, NOTHING))
            advanced[_percent(paid)] = net + paid.amount - paid.vat, vat + paid.vat
    return PaperFacts(
        number=row.number,
        issued_on=row.issued_on,
        supplied_on=row.supplied_on,
        net=row.net,
        vat=row.vat,
        rates=rates,
        deposit=row.deposit,
        advanced=tuple(RateSums(*deposit_rate(each), *sums) for each, sums in advanced.items()),
        corrects=corrects,
    )


def _payment(row: Payment, local: LocalTime, notes: set[int]) -> PaymentFacts:
    if row.invoice:
        about = f"{'Credit note' if row.invoice.number in notes else 'Invoice'} {row.invoice.number}"
    else:
        about = f"Visit {row.visit.number}, deposit" if row.visit else "Deposit"
    paper = row.invoice.number if row.invoice else None
    return PaymentFacts(local.day(row.at), row.amount, row.how, paper, about, row.vat, _percent(row))


def _advances(payments: list[Payment], papers: list[Invoice], notes: set[int]) -> dict[int, list[Payment]]:
    """By the number of the paper that took them off: that of the next keeping, else that of the visit's work."""
    kept_rows = KeptDeposit.objects.values_list("visit", "at", "invoice__number")
    kept: dict[int, list[tuple[datetime, int]]] = defaultdict(list)
    for visit_id, at, number in kept_rows.order_by("at"):
        kept[visit_id].append((at, number))
    kept_numbers = {number for rows in kept.values() for _, number in rows}
    for_work = {row.visit_id: row.number for row in papers if row.number not in notes | kept_numbers}
    found: dict[int, list[Payment]] = defaultdict(list)
    for paid in payments:
        if paid.is_deposit and paid.visit_id is not None:
            later = next((kept_on for at, kept_on in kept[paid.visit_id] if at >= paid.at), None)
            taken_off_by = later if later is not None else for_work.get(paid.visit_id)
            if taken_off_by is not None:
                found[taken_off_by].append(paid)
    return found


def _percent(paid: Payment) -> str:
    return "" if paid.vat_percent is None else f"{paid.vat_percent.normalize():f}"
