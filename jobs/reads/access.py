"""Access to cards, invoices and machines. Unknown and forbidden get the same answer."""

from __future__ import annotations

from typing import TypeVar

from django.http import Http404

from diagnostics.models.returning import ReturningVisit
from diagnostics.reads.returning import returning_of
from garage.models.owners import Machine
from garage.models.people import Person
from garage.models.visits import Visit
from jobs.models.book import Invoice, KeptDeposit, Paper
from jobs.models.cards import Card, CardLine, Labour

Row = TypeVar("Row")


def card_of(visit: Visit) -> Card | None:
    names = ("opened_by", "closed_by", "visit__service_reminder", "visit__returning__earlier")
    return Card.objects.filter(visit=visit).select_related(*names).first()


def returning_with(visit: Visit, card: Card | None) -> ReturningVisit | None:
    """Of a come-back. It was read with the card, if there is one."""
    if card is None:
        return returning_of(visit)
    found: ReturningVisit | None = getattr(card.visit, "returning", None)
    return found


def line_of(visit: Visit, line_id: int) -> CardLine:
    return _found(CardLine.objects.filter(card__visit=visit, pk=line_id).select_related("card__visit").first())


def labour_of(visit: Visit, labour_id: int) -> Labour:
    return _found(Labour.objects.filter(card__visit=visit, pk=labour_id).select_related("card__visit", "by").first())


def running_clock(person: Person) -> Labour | None:
    """The person's running clock, on any card."""
    return Labour.objects.filter(by=person, ended_at=None).select_related("card__visit__machine").first()


def running_clocks(visit: Visit) -> list[Labour]:
    """Every clock that runs on the visit's card."""
    return list(Labour.objects.filter(card__visit=visit, ended_at=None).select_related("by"))


def invoice_numbered(number: int) -> Invoice:
    rows = Invoice.objects.select_related("visit__owner", "visit__machine", "visit__kind", "issued_by")
    return _found(rows.filter(number=number).first())


def invoice_of(visit: Visit) -> Invoice | None:
    """The invoice of its work; not the paper of a deposit that was kept."""
    rows = Invoice.objects.filter(visit=visit, kept_deposit=None)
    return rows.select_related("visit__owner", "visit__machine").first()


def kept_deposit_of(visit: Visit) -> KeptDeposit | None:
    """The last deposit of this visit that was kept, with its paper."""
    return KeptDeposit.objects.filter(visit=visit).select_related("invoice__visit__owner").last()


def paper_of(invoice: Invoice) -> Paper | None:
    return Paper.objects.filter(invoice=invoice).first()


def invoice_of_owner(visit: Visit) -> Invoice:
    """The invoice of a visit that the owner opened by personal link, else the paper of a deposit that was kept."""
    kept = None if (invoice := invoice_of(visit)) else kept_deposit_of(visit)
    return _found(invoice or (kept.invoice if kept else None))


def machine_numbered(machine_id: int) -> Machine:
    """The machine. If it was joined into another, that other one."""
    machine = _found(Machine.objects.select_related("owner", "kind", "joined_into").filter(pk=machine_id).first())
    return machine_numbered(machine.joined_into_id) if machine.joined_into_id else machine


def _found(row: Row | None) -> Row:
    if row is None:
        raise Http404
    return row
