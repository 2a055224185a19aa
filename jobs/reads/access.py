"""The doors to cards, invoices and machines. Unknown and forbidden answer alike."""

from __future__ import annotations

from typing import TypeVar

from django.http import Http404

from diagnostics.models.bench import BenchOutcome
from diagnostics.models.causes import Cause
from diagnostics.pages.bench import outcome_of_visit
from diagnostics.reads.causes import cause_of_visit
from garage.models.owners import Machine
from garage.models.visits import Visit
from jobs.models.book import Invoice
from jobs.models.cards import Card, CardLine, Labour

Row = TypeVar("Row")


def card_of(visit: Visit) -> Card | None:
    return Card.objects.filter(visit=visit).select_related("opened_by", "closed_by", "visit").first()


def line_of(visit: Visit, line_id: int) -> CardLine:
    return _found(CardLine.objects.filter(card__visit=visit, pk=line_id).select_related("card__visit").first())


def labour_of(visit: Visit, labour_id: int) -> Labour:
    return _found(Labour.objects.filter(card__visit=visit, pk=labour_id).select_related("card__visit", "by").first())


def cause_of(visit: Visit, cause_id: int) -> Cause:
    return _found(cause_of_visit(visit, cause_id))


def outcome_of(visit: Visit, outcome_id: int) -> BenchOutcome:
    return _found(outcome_of_visit(visit, outcome_id))


def invoice_numbered(number: int) -> Invoice:
    rows = Invoice.objects.select_related("visit__owner", "visit__machine", "visit__kind", "issued_by")
    return _found(rows.filter(number=number).first())


def invoice_of(visit: Visit) -> Invoice | None:
    return Invoice.objects.filter(visit=visit).select_related("visit__owner", "visit__machine").first()


def invoice_of_owner(visit: Visit) -> Invoice:
    """The invoice that belongs to a visit whose owner came by the personal link."""
    return _found(invoice_of(visit))


def machine_numbered(machine_id: int) -> Machine:
    """The machine; one that was joined into another answers as that one."""
    machine = _found(Machine.objects.select_related("owner", "kind", "joined_into").filter(pk=machine_id).first())
    return machine_numbered(machine.joined_into_id) if machine.joined_into_id else machine


def _found(row: Row | None) -> Row:
    if row is None:
        raise Http404
    return row
