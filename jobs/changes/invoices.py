"""Issuing an invoice: number, lines and freezing in one transaction, with no gap or duplicate in the numbers."""

from collections.abc import Iterable, Mapping
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db import transaction

from garage.changes import trail
from garage.changes.day.locks import visit_for_change
from garage.core import money
from garage.core.currencies import in_units
from garage.core.errors import BadInput, Refused
from garage.core.text.languages import language_on_paper, put_on_paper, told_later
from garage.models.owners import Machine, Owner
from garage.models.people import Person
from garage.models.shop import Shop
from garage.models.visits import Visit
from garage.output.speaking import speaking
from garage.reads.shop import the_shop
from garage.wake import wake
from jobs.changes import chain
from jobs.changes.consents import check_agreed
from jobs.changes.numbers import next_number
from jobs.core.billing.invoice import NOTHING, Totals, full_needs_address, too_much
from jobs.models.book import Invoice, InvoiceLine, Paper
from jobs.models.cards import Card
from jobs.reads import to_invoice
from jobs.reads.access import invoice_number_of
from jobs.reads.to_invoice import InvoiceDraft

INVOICES = "invoice"  # the number series
NOT_REGISTERED = told_later("Not registered for {tax}")


def issue(
    visit: Visit, *, by: Person, now: datetime, was_held: bool | None = None, buyer_address: str | None = None
) -> Invoice:
    """Issues the invoice for a closed card and freezes it.

    was_held: whether the roller session is charged; None decides from the steps. buyer_address: None means the owner's.
    Raises Refused if the card is not closed, an invoice already exists, or there is nothing to charge.
    """
    with transaction.atomic():
        visit = visit_for_change(visit)
        card, closed_at = _closed_card(visit)
        if issued := invoice_number_of(visit):
            raise Refused(f"Visit {visit.number} already has an invoice: number {issued}.")
        shop = the_shop()
        with speaking(visit.owner.language):  # its lines are frozen as the owner reads them
            draft = to_invoice.draft(visit, card, shop, was_held=was_held)
        totals = _totals_to_charge(draft)
        check_agreed(visit, shop, draft)
        address = visit.owner.address if buyer_address is None else buyer_address
        if draft.needs_address and not address.strip():
            raise BadInput("address", None, full_needs_address())
        invoice = write_invoice(
            draft.rows,
            totals,
            shop,
            seller=to_invoice.seller_of(shop),
            visit=visit,
            supplied_at=closed_at,
            buyer=buyer_of(visit.owner, address),
            by=by,
            now=now,
            exempt_why=draft.exempt_why,
            deposit_vat=draft.deposit_vat,
        )
        trail.about_visit(
            visit,
            f"issued invoice {invoice.number}: {money.pounds_words(invoice.gross)}",
            by=by,
            now=now,
            invoice=invoice.number,
        )
        wake("jobs.tasks.make_papers")
        return invoice


def _totals_to_charge(draft: InvoiceDraft) -> Totals:
    if draft.trouble:
        raise Refused(draft.trouble)
    if draft.totals is None:
        raise Refused("There is nothing to charge on this card: no session, no labour, no parts.")
    if why := too_much(draft.totals):
        raise Refused(why)
    return draft.totals


def _closed_card(visit: Visit) -> tuple[Card, datetime]:
    """With when it was closed."""
    card = Card.objects.filter(visit=visit).first()
    if card is None or card.closed_at is None:
        raise Refused(f"The card of visit {visit.number} is not closed yet: close it with its cause, then invoice.")
    card.visit = visit  # as it is behind its lock, and it need not be read again
    return card, card.closed_at


def write_invoice(
    rows: Iterable[Mapping[str, Any]],
    totals: Totals,
    shop: Shop,
    *,
    seller: dict[str, object],
    visit: Visit | None,
    supplied_at: datetime,
    buyer: dict[str, object],
    by: Person,
    now: datetime,
    exempt_why: str = "",
    deposit_vat: Decimal = NOTHING,
) -> Invoice:
    """Inside a change: the next number, its lines, frozen, linked to the one before, and its paper wanted.

    visit: None for a counter sale. deposit_vat: what was due of the deposit when it was paid.
    """
    with speaking(language_on_paper(buyer)):
        not_registered = in_units(NOT_REGISTERED)
    invoice = Invoice.objects.create(
        number=next_number(INVOICES),
        visit=visit,
        issued_on=shop.local_time.day(now),
        supplied_on=shop.local_time.day(supplied_at),
        issued_at=now,
        issued_by=by,
        seller=seller,
        buyer=buyer,
        machine=machine_words(visit.machine) if visit else "",
        net=totals.net,
        vat=totals.vat,
        gross=totals.gross,
        vat_by_rate=kept_rates(totals),
        exemption_words=exempt_why if totals.by_rate else not_registered,
        currency=shop.currency,
        deposit=totals.deposit,
        deposit_vat=deposit_vat,
        payment_words=shop.payment_words,
    )
    _freeze(invoice, rows, now=now)
    return invoice


def machine_words(machine: Machine) -> str:
    return " ".join(filter(None, [machine.words, machine.registration]))


def _freeze(invoice: Invoice, rows: Iterable[Mapping[str, Any]], *, now: datetime) -> None:
    numbered = enumerate(rows, start=1)
    lines = InvoiceLine.objects.bulk_create(InvoiceLine(invoice=invoice, index=index, **row) for index, row in numbered)
    invoice.frozen_at = now
    invoice.save(update_fields=["frozen_at"])
    chain.link(invoice, lines, series=INVOICES)
    Paper.objects.create(invoice=invoice, wanted_at=now)


def buyer_of(owner: Owner, address: str) -> dict[str, object]:
    lines = [line.strip() for line in address.splitlines() if line.strip()]
    return {"name": owner.name, "address": lines, "email": owner.email, **put_on_paper(owner.language)}


def kept_rates(totals: Totals) -> list[list[str]]:
    """[[percent, net, VAT, category], …], as papers keep them."""
    return [[_plain(rate.percent), str(rate.net), str(rate.vat), rate.category] for rate in totals.by_rate]


def _plain(percent: Decimal) -> str:
    return f"{percent.normalize():f}"
