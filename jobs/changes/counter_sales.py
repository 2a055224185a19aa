"""Something sold over the counter: an invoice of the same series without a visit, paid at once or later."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.db import transaction

from garage.core import money
from garage.core.errors import BadInput, Refused
from garage.core.text.languages import ENGLISH, put_on_paper
from garage.models.owners import Owner
from garage.models.people import Person
from garage.models.shop import Shop
from garage.reads.shop import the_shop
from garage.wake import wake
from jobs.changes import book_locks, payments
from jobs.changes.invoices import write_invoice
from jobs.core.billing.hand_lines import DISCOUNT, EXTRA, hand_line
from jobs.core.billing.invoice import (
    Line,
    full_needs_address,
    may_be_simplified,
    too_much,
    total_with_vat,
    total_without_vat,
)
from jobs.models.book import CounterSale, Invoice
from jobs.reads.to_invoice import NONE_SUPPLIED, rows_of, seller_of

LATER = "later"
NOBODY = "Counter sale"  # the buyer of a small sale, who need not be named (SI 1995/2518 reg. 16A)


@dataclass(frozen=True)
class Sold:
    """price_each: pounds, VAT included, below 0 for money off. vat_percent: None is the shop's."""

    words: str
    quantity: Decimal
    price_each: Decimal
    vat_percent: Decimal | None = None


@transaction.atomic
def sell(
    *,
    lines: Sequence[Sold],
    owner: Owner | None,
    buyer_name: str,
    buyer_address: str,
    how: str,
    by: Person,
    now: datetime,
) -> Invoice:
    """owner: on whose statement it stands, if the garage knows who buys; name and address are theirs unless others are
    given. how: cash, card, transfer or LATER.
    """
    shop, owner = the_shop(), _still_known(owner) if owner else None
    if not lines:
        raise Refused("There is nothing on it: fill in at least one line.")
    written = [_line(sold, shop) for sold in lines]
    totals = (total_with_vat if shop.vat_number else total_without_vat)(written)
    if why := too_much(totals):
        raise Refused(why)
    buyer = _buyer(owner, buyer_name.strip(), buyer_address.strip())
    if (shop.vat_number and not may_be_simplified(totals.gross)) and not (buyer["address"] and buyer["name"] != NOBODY):
        raise BadInput("address", None, full_needs_address())
    invoice = write_invoice(
        rows_of(totals),
        totals,
        shop,
        seller=seller_of(shop),
        visit=None,
        supplied_at=now,
        buyer=buyer,
        by=by,
        now=now,
    )
    if owner:
        CounterSale.objects.create(invoice=invoice, owner=owner)
    if how != LATER and invoice.gross:
        payments.take(invoice, amount=invoice.gross, how=how, by=by, now=now)
    did = f"sold over the counter, invoice {invoice.number}: {money.pounds_words(invoice.gross)}"
    book_locks.wrote(invoice, did, by=by, now=now, number=invoice.number)
    wake("jobs.tasks.make_papers")
    return invoice


def credited(paper: Invoice, note: Invoice) -> None:
    """Within the change that writes the credit note: it stands on the same statement."""
    if sale := CounterSale.objects.filter(invoice=paper).first():
        CounterSale.objects.create(invoice=note, owner=sale.owner)


def _still_known(owner: Owner) -> Owner:
    """Who is erased just now is waited for."""
    owner = Owner.objects.select_for_update().get(pk=owner.pk)
    if owner.erased_at or owner.joined_into_id:
        raise Refused("This owner has been erased or joined to another since: find them again, or sell without a name.")
    return owner


def _buyer(owner: Owner | None, name: str, address: str) -> dict[str, object]:
    if owner:
        name, address = name or owner.name, address or owner.address
    lines = [line.strip() for line in address.splitlines() if line.strip()]
    language = owner.language if owner else ENGLISH
    return {"name": name or NOBODY, "address": lines, "email": "", **put_on_paper(language)}


def _line(sold: Sold, shop: Shop) -> Line:
    own = shop.vat_percent if shop.vat_number else NONE_SUPPLIED
    percent = own if sold.vat_percent is None else sold.vat_percent
    kind = DISCOUNT if sold.price_each < 0 else EXTRA
    return hand_line(kind, sold.words, sold.quantity, sold.price_each, vat_percent=percent)
