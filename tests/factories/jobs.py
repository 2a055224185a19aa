"""Rows of the jobs room, valid with no argument."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from decimal import Decimal

from django.utils import timezone

from diagnostics.changes import findings
from diagnostics.models.sheets import Finding
from garage.core import states
from garage.models.people import Person
from garage.models.visits import Visit
from jobs.changes.estimates import begin, begin_before_a_visit, issue, keep, new_key
from jobs.core.billing.estimate import EstimateLine
from jobs.models.cards import Card, CardLine, Labour
from jobs.models.estimates import Estimate
from tests.factories import garage


def visit_here(**given: object) -> Visit:
    """A set-up whose machine is in the building; the shop stands."""
    garage.shop()
    return garage.visit(**{"state": states.HERE, "arrived_at": timezone.now()} | given)


def card(**given: object) -> Card:
    by = given.pop("by", None) or garage.person()
    values = {"opened_at": timezone.now() - timedelta(hours=3), "opened_by": by}
    values["visit"] = given.pop("visit", None) or visit_here()
    return Card.objects.create(**values | given)


def judged_here(by: Person, answers: dict[str, object] | None = None) -> Visit:
    """A visit in the building with the workshop's findings: by default a false ceiling that damp makes worse."""
    visit = visit_here()
    for question, answer in (answers or {"rev_out": "ceiling", "damp": "yes"}).items():
        findings.record(visit, question=question, answer=answer, source=Finding.WORKSHOP, by=by, now=timezone.now())
    return visit


def labour(card_row: Card, *, minutes: int, by: Person | None = None, ended_at: datetime | None = None) -> Labour:
    ended_at = ended_at or timezone.now()
    return Labour.objects.create(
        card=card_row,
        by=by or card_row.opened_by,
        began_at=ended_at - timedelta(minutes=minutes),
        ended_at=ended_at,
    )


def part(card_row: Card, **given: object) -> CardLine:
    values = {"words": "Main jet 98", "quantity": Decimal(1), "price_each": Decimal("4.50")}
    fixed = {"card": card_row, "what": CardLine.PART, "at": timezone.now(), "by": card_row.opened_by}
    return CardLine.objects.create(**values | fixed | given)


def closed_card(**given: object) -> Card:
    """A card closed with "nothing wrong"."""
    row = card(**given)
    row.closed_at, row.closed_by, row.nothing_wrong = timezone.now(), row.opened_by, True
    row.save()
    return row


def estimate_line(**given: object) -> EstimateLine:
    values = {"key": new_key(), "kind": "labour", "words": "Crank seals, both", "quantity": Decimal("1.50")}
    return EstimateLine(**values | {"price_each": Decimal("54.00")} | given)


def estimate(visit: Visit | None = None, *, lines: Sequence[EstimateLine] = (), **given: object) -> Estimate:
    """Issued: by default an hour and a half of labour, for a visit whose machine is here."""
    by, now = given.pop("by", None) or garage.boss(), given.pop("now", None) or timezone.now()
    machine = given.pop("machine", None)
    draft = begin_before_a_visit(machine, by=by, now=now) if machine else begin(visit or visit_here(), by=by, now=now)
    values = {"text": "", "valid_until": draft.valid_until} | given
    *first, last = lines or [estimate_line()]
    for line in first:
        keep(draft, **values, line=line, by=by, now=now)
    return issue(draft, **values, line=last, by=by, now=now)
