"""Money in and out: deposits before the invoice, payments against it. Rows are only added, never changed."""

from datetime import datetime
from decimal import Decimal

from django.db import transaction

from garage.changes.day.locks import visit_for_change
from garage.changes.visit import deposits
from garage.core import money
from garage.core.errors import BadInput, Refused
from garage.models.people import Person
from garage.models.visits import Visit
from garage.reads.shop import the_shop
from jobs.changes import book_locks
from jobs.models.book import Invoice, Payment
from jobs.reads.access import invoice_of, kept_deposit_of
from jobs.reads.advances import vat_of_next
from jobs.reads.book import left_on, paid_with_notes
from jobs.reads.consents import most_deposit

HOW = {"cash", "card", "transfer"}
NONE_TO_GIVE_BACK = " (a minus gives back a payment, and none stands on this invoice)"
GIVE_BACK_KEPT = (
    "The deposit on invoice {number} was kept: it is given back with a credit note. Open invoice {number} and follow "
    "“Give it back”."
)


def deposit(visit: Visit, *, amount: Decimal, how: str, by: Person, now: datetime) -> Payment:
    """amount: pounds, above 0, and with what was paid before no more than the visit may come to. A visit that was
    waiting for its deposit is now booked.
    """
    with transaction.atomic():
        visit = _not_invoiced(visit)
        left = most_deposit(visit) - visit.deposit_paid
        if not 0 < amount <= left:
            raise BadInput("deposit", money.pounds_words(amount), _deposit_allowed(left))
        payment = _paid(visit, None, amount, how, by, is_deposit=True, now=now, **_tax_on(visit, amount))
        deposits.came(visit, amount=amount, by=by, now=now)
        return payment


def _deposit_allowed(left: Decimal) -> str:
    covered = "it covers the price and what is agreed or on the card"
    return (
        f"more than 0, up to {money.pounds_words(left)}: with that {covered}"
        if left > 0
        else f"nothing more: {covered}"
    )


def give_deposit_back(visit: Visit, *, amount: Decimal, how: str, by: Person, now: datetime) -> Payment:
    """amount: pounds, above 0 and at most the deposit paid. Also for visits called off."""
    with transaction.atomic():
        visit = _not_invoiced(visit)
        if not visit.deposit_paid and (kept := kept_deposit_of(visit)):
            raise Refused(GIVE_BACK_KEPT.format(number=kept.invoice.number))
        deposits.went_back(visit, amount=amount, by=by, now=now)
        return _paid(visit, None, -amount, how, by, is_deposit=True, now=now, **_tax_on(visit, -amount))


def _tax_on(visit: Visit, amount: Decimal) -> dict[str, Decimal | None]:
    """A payment before the supply is a tax point of its own (VAT Act 1994 section 6(4); HMRC Notice 700, 14.2.2; from
    memory): its VAT is due the day it is paid.
    """
    shop = the_shop()
    vat = vat_of_next(visit, amount, shop.vat_percent if shop.vat_number else None)
    return {"vat": vat, "vat_percent": None if vat is None else shop.vat_percent}


def _not_invoiced(visit: Visit) -> Visit:
    visit = visit_for_change(visit)
    if invoice_of(visit):
        raise Refused("This visit is invoiced already: take the money, or give it back, on its invoice.")
    return visit


def take(invoice: Invoice, *, amount: Decimal, how: str, by: Person, now: datetime) -> Payment:
    """amount: pounds. Below 0 is a refund, at most what was paid, or what the deposit exceeds the invoice by."""
    with transaction.atomic():
        book_locks.lock(invoice)
        _check_it_is_paid_here(invoice, amount)
        paid, left = paid_with_notes(invoice), left_on(invoice)
        least, most = min(-paid, left), max(left, Decimal(0))
        if amount == 0 or not least <= amount <= most:
            raise BadInput("amount", money.pounds_words(amount), _allowed(least, most, amount))
        payment = _paid(invoice.visit, invoice, amount, how, by, is_deposit=False, now=now)
        verb = "took" if amount > 0 else "gave back"
        words = f"{verb} {money.pounds_words(abs(amount))} on invoice {invoice.number}, {payment.get_how_display()}"
        book_locks.wrote(invoice, words, by=by, now=now, number=invoice.number)
        return payment


def went_back_with(note: Invoice, *, amount: Decimal, how: str, by: Person, now: datetime) -> Payment:
    """Inside the change that issues a credit note: what was paid of what it takes off, given back."""
    return _paid(note.visit, note, -amount, how, by, is_deposit=False, now=now)


def _check_it_is_paid_here(invoice: Invoice, amount: Decimal) -> None:
    """Of a kept deposit nothing is refunded without a credit note, which brings its own payment."""
    if hasattr(invoice, "credit_note"):
        raise Refused(f"The money went back with credit note {invoice.number}: there is nothing to take or refund.")
    if amount < 0 and hasattr(invoice, "kept_deposit"):
        raise Refused(GIVE_BACK_KEPT.format(number=invoice.number))


def _allowed(least: Decimal, most: Decimal, amount: Decimal) -> str:
    """What may be taken or refunded now, as a sentence."""
    take = f"up to {money.pounds_words(most)}, what is left to pay" if most > 0 else ""
    back = f"down to {money.pounds_words(least)} to give back" if least < 0 else ""
    allowed = " or ".join(filter(None, [take, back])) or "nothing: it is paid"
    return allowed + (NONE_TO_GIVE_BACK if amount < 0 <= least else "")


def _paid(
    visit: Visit | None,
    invoice: Invoice | None,
    amount: Decimal,
    how: str,
    by: Person,
    *,
    is_deposit: bool,
    now: datetime,
    vat: Decimal | None = None,
    vat_percent: Decimal | None = None,
) -> Payment:
    if how not in HOW:
        raise BadInput("how it was paid", how, "cash, card or transfer")
    return Payment.objects.create(
        visit=visit,
        invoice=invoice,
        amount=amount,
        how=how,
        is_deposit=is_deposit,
        vat=vat,
        vat_percent=vat_percent,
        at=now,
        by=by,
    )
