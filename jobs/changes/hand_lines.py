"""Lines that a person puts on a visit's invoice before it is issued, and takes off again."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal

from django.db import transaction

from garage.changes import trail
from garage.changes.day.locks import visit_for_change
from garage.core.errors import Refused
from garage.models.people import Person
from garage.models.visits import Visit
from garage.reads.shop import the_shop
from jobs.core.billing.invoice import too_much
from jobs.models.book import HandLine
from jobs.reads import to_invoice
from jobs.reads.access import card_of, invoice_of

MOST_LINES = 60  # on one invoice by hand: two printed pages


@transaction.atomic
def add(
    visit: Visit,
    *,
    kind: str,
    words: str,
    quantity: Decimal,
    price_each: Decimal,
    vat_percent: Decimal | None,
    exempt_why: str,
    by: Person,
    now: datetime,
) -> HandLine:
    """vat_percent: None is the shop's. exempt_why: of what is exempt from VAT, the rule; its rate is then 0.

    Refused if it takes more off than the rest comes to.
    """
    visit, shop = _open_for_lines(visit), the_shop()
    if HandLine.objects.filter(visit=visit, struck_at=None).count() >= MOST_LINES:
        raise Refused(f"There are {MOST_LINES} lines by hand already: put some of them together.")
    line = HandLine(
        visit=visit,
        kind=kind,
        words=words.strip(),
        quantity=quantity,
        price_each=price_each,
        vat_percent=Decimal(0) if exempt_why.strip() else vat_percent,
        exempt_why=exempt_why.strip(),
        at=now,
        by=by,
    )
    charge = to_invoice.charge_of(line, shop)
    line.save()
    draft = to_invoice.draft(visit, card_of(visit), shop)
    if why := draft.trouble or (too_much(draft.totals) if draft.totals else ""):
        raise Refused(why)
    trail.about_visit(visit, f"put on the invoice: {charge.line.words}", by=by, now=now)
    return line


@transaction.atomic
def strike(line: HandLine, *, by: Person, now: datetime) -> None:
    _open_for_lines(line.visit)
    if HandLine.objects.filter(pk=line.pk, struck_at=None).update(struck_at=now):
        trail.about_visit(line.visit, f"took off the invoice: {line.words}", by=by, now=now)


def _open_for_lines(visit: Visit) -> Visit:
    visit = visit_for_change(visit)
    if issued := invoice_of(visit):
        raise Refused(f"Visit {visit.number} already has invoice {issued.number}: credit it to take something off.")
    return visit
