"""Parts that are ordered for a visit, and come."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal

from django.db import transaction

from garage.changes import trail
from garage.changes.day.locks import visit_for_change
from garage.core.currencies import in_units
from garage.core.errors import BadInput, Refused
from garage.core.money import MOST, pounds_words
from garage.models.people import Person
from garage.models.visits import Visit
from jobs.changes import cards, parts
from jobs.core.billing.invoice import MOST_OF_A_PART
from jobs.models.parts import PartOrder, StockPart
from jobs.reads.parts import is_left_over


@transaction.atomic
def order(
    visit: Visit,
    *,
    words: str,
    quantity: Decimal,
    price_each: Decimal | None,
    supplier: str = "",
    stock: StockPart | None = None,
    by: Person,
    now: datetime,
) -> PartOrder:
    """price_each: pounds, VAT included, as it goes on the card. stock: of the shop's list: its words, supplier and
    price stand where none are given.
    """
    words = words.strip() or (stock.words if stock else "")
    price_each = stock.price_each if stock and price_each is None else price_each
    if not words:
        raise BadInput("Which part", None, "a few words to say what it is, or a part of the list")
    if price_each is None or not 0 <= price_each <= MOST:
        raise BadInput(in_units("Price each, {tax} included"), price_each, f"0 to {pounds_words(MOST)}")
    if not 0 < quantity <= MOST_OF_A_PART:
        raise BadInput("How many", quantity, f"more than 0, at most {MOST_OF_A_PART:,}")
    visit = cards.opened(visit, by=by, now=now).visit
    supplier = supplier.strip() or (stock.supplier if stock else "")
    row = PartOrder.objects.create(
        visit=visit,
        part=stock,
        words=words,
        supplier=supplier,
        quantity=quantity,
        price_each=price_each,
        at=now,
        by=by,
    )
    trail.about_visit(visit, f"ordered {quantity.normalize():f} {words}", by=by, now=now)
    return row


@transaction.atomic
def came(row: PartOrder, *, by: Person, now: datetime) -> None:
    """Booked in, and written on the card that it was ordered for."""
    visit, row = _open(row)
    if is_left_over(row):
        raise Refused(f"The work of visit {visit.number} is over: put {row.words} into stock.")
    if row.part:
        parts.put_back(row.part, row.quantity)
    each = row.price_each
    cards.part(visit, words=row.words, quantity=row.quantity, price_each=each, stock=row.part, by=by, now=now)
    row.came_at = now
    row.save(update_fields=["came_at"])
    trail.about_visit(visit, f"booked in {row.quantity.normalize():f} {row.words}", by=by, now=now)


@transaction.atomic
def into_stock(row: PartOrder, *, by: Person, now: datetime) -> None:
    """It came after its card was closed: nothing can be written there, and the part is the shop's."""
    visit, row = _open(row)
    if not is_left_over(row):
        raise Refused(f"The card of visit {visit.number} is open: book it in there, and it goes on the card.")
    each = row.price_each
    parts.receive(row.part, row.quantity, words=row.words, supplier=row.supplier, price_each=each, by=by, now=now)
    row.came_at = now
    row.save(update_fields=["came_at"])
    trail.about_visit(visit, f"put into stock, come too late: {row.quantity.normalize():f} {row.words}", by=by, now=now)


@transaction.atomic
def order_off(row: PartOrder, *, by: Person, now: datetime) -> None:
    visit, row = _open(row)
    row.off_at = now
    row.save(update_fields=["off_at"])
    trail.about_visit(visit, f"ordered off {row.quantity.normalize():f} {row.words}", by=by, now=now)


def _open(row: PartOrder) -> tuple[Visit, PartOrder]:
    """Both as they are now, locked."""
    visit = visit_for_change(row.visit)
    row = PartOrder.objects.select_related("part").get(pk=row.pk)
    if row.came_at or row.off_at:
        raise Refused(f"{row.words} is {'booked in' if row.came_at else 'ordered off'} already.")
    return visit, row
