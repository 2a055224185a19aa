"""Whether a come-back is charged after all: said until its invoice is issued."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from diagnostics.changes import returning
from garage.changes.day.locks import visit_for_change
from garage.core.errors import Refused
from garage.models.people import Person
from garage.models.visits import Visit
from jobs.reads.access import invoice_of


@transaction.atomic
def charge_after_all(visit: Visit, *, why: str, by: Person, now: datetime) -> None:
    returning.is_charged(_not_invoiced(visit), why=why, by=by, now=now)


@transaction.atomic
def charge_nothing(visit: Visit, *, by: Person, now: datetime) -> None:
    returning.is_not_charged(_not_invoiced(visit), by=by, now=now)


def _not_invoiced(visit: Visit) -> Visit:
    visit = visit_for_change(visit)
    if issued := invoice_of(visit):
        raise Refused(f"Visit {visit.number} has invoice {issued.number}: what it charges stays.")
    return visit
