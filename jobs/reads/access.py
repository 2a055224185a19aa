"""Access to cards, invoices and machines. Unknown and forbidden get the same answer."""

from __future__ import annotations

from typing import TypeVar

from django.db.models import Prefetch, QuerySet
from django.http import Http404

from diagnostics.models.returning import ReturningVisit
from diagnostics.reads.returning import returning_of
from garage.models.owners import Machine
from garage.models.people import Person
from garage.models.visits import Visit
from jobs.models.book import CreditNote, HandLine, Invoice, KeptDeposit, Paper
from jobs.models.cards import Card, CardLine, Labour

Row = TypeVar("Row")


def card_of(visit: Visit) -> Card | None:
    names = ("opened_by", "closed_by", "visit__service_reminder", "visit__returning__earlier")
    return Card.objects.filter(visit=visit).select_related(*names).first()


def closed_card_of(visit: Visit) -> Card:
    card = card_of(visit)
    return _found(card if card and card.closed_at else None)


def returning_with(visit: Visit, card: Card | None) -> ReturningVisit | None:
    """Of a come-back. It was read with the card, if there is one."""
    if card is None:
        return returning_of(visit)
    found: ReturningVisit | None = getattr(card.visit, "returning", None)
    return found


def line_of(visit: Visit, line_id: int) -> CardLine:
    return _found(CardLine.objects.filter(card__visit=visit, pk=line_id).select_related("card__visit").first())


def hand_line_of(visit: Visit, line_id: int) -> HandLine:
    return _found(HandLine.objects.filter(visit=visit, pk=line_id).select_related("visit").first())


def labour_of(visit: Visit, labour_id: int) -> Labour:
    return _found(Labour.objects.filter(card__visit=visit, pk=labour_id).select_related("card__visit", "by").first())


def running_clock(person: Person) -> Labour | None:
    """The person's running clock, on any card."""
    return Labour.objects.filter(by=person, ended_at=None).select_related("card__visit__machine").first()


def running_clocks(visit: Visit) -> list[Labour]:
    """Every clock that runs on the visit's card."""
    return list(Labour.objects.filter(card__visit=visit, ended_at=None).select_related("by"))


def invoice_numbered(number: int) -> Invoice:
    names = ("visit__owner", "visit__machine", "visit__kind", "issued_by")
    others = ("paper", "link", "kept_deposit", "credit_note__corrects", "counter_sale__owner")
    rows = Invoice.objects.select_related(*names, *others)
    return _found(rows.filter(number=number).first())


def invoices_for_work() -> QuerySet[Invoice]:
    """All but the papers of deposits that were kept or given back later."""
    return Invoice.objects.filter(kept_deposit=None, credit_note=None)


def invoice_of(visit: Visit) -> Invoice | None:
    """The invoice of its work."""
    rows = invoices_for_work().filter(visit=visit)
    return rows.select_related("visit__owner", "visit__machine").first()


def invoice_number_of(visit: Visit) -> int | None:
    """The number of the invoice of its work."""
    return invoices_for_work().filter(visit=visit).values_list("number", flat=True).first()


def kept_deposit_of(visit: Visit) -> KeptDeposit | None:
    """The last deposit of this visit that was kept, with its paper and its credit notes."""
    rows = KeptDeposit.objects.filter(visit=visit).select_related("invoice__visit__owner")
    return rows.prefetch_related(Prefetch("credit_notes", CreditNote.objects.select_related("invoice"))).last()


def kept_deposit_on(number: int) -> KeptDeposit:
    """The kept deposit whose paper has this number."""
    rows = KeptDeposit.objects.select_related("invoice", "visit__owner", "visit__machine", "visit__kind")
    return _found(rows.filter(invoice__number=number).first())


def credit_notes_of(kept: KeptDeposit) -> list[CreditNote]:
    """Oldest first, with their papers."""
    return list(kept.credit_notes.select_related("invoice"))


def notes_on(invoice: Invoice) -> list[CreditNote]:
    """Credit notes against it, oldest first, with their papers."""
    return list(invoice.corrected_by.select_related("invoice").prefetch_related("invoice__payments"))


def paper_of(invoice: Invoice) -> Paper | None:
    """It was read with the invoice if that was found by its number."""
    found: Paper | None = getattr(invoice, "paper", None)
    return found


def invoice_of_owner(visit: Visit) -> Invoice:
    """The invoice of a visit that the owner opened by personal link, else the paper of a deposit that was kept."""
    kept = None if (invoice := invoice_of(visit)) else kept_deposit_of(visit)
    return _found(invoice or (kept.invoice if kept else None))


def credit_note_of_owner(visit: Visit, number: int) -> Invoice:
    """A credit note of a visit that the owner opened by personal link."""
    return _found(Invoice.objects.filter(visit=visit, number=number).exclude(credit_note=None).first())


def machine_numbered(machine_id: int) -> Machine:
    """The machine. If it was joined into another, that other one."""
    machine = _found(Machine.objects.select_related("owner", "kind", "joined_into").filter(pk=machine_id).first())
    return machine_numbered(machine.joined_into_id) if machine.joined_into_id else machine


def _found(row: Row | None) -> Row:
    if row is None:
        raise Http404
    return row
