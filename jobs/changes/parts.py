"""The shop's list of parts: what is in stock, changed by hand or by what a card takes."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from decimal import Decimal

from django.db import IntegrityError, transaction

from garage.changes import trail
from garage.changes.day.constraints import broke
from garage.core.errors import BadInput, Refused
from garage.core.money import MOST, pounds_words
from garage.models.people import Person
from jobs.core.billing.invoice import MOST_OF_A_PART
from jobs.models.parts import StockPart


def add(
    *, words: str, place: str, supplier: str, price_each: Decimal, count: Decimal, by: Person, now: datetime
) -> StockPart:
    """price_each: pounds, VAT included. count: in stock."""
    values = {"words": words.strip(), "place": place, "supplier": supplier, "price_each": price_each, "count": count}
    _check(values)
    return _saved(StockPart(**values), f"put a part on the list: {_plain(count)} {values['words']}", by, now)


def alter(
    part: StockPart,
    *,
    words: str,
    place: str,
    supplier: str,
    price_each: Decimal,
    count: Decimal,
    by: Person,
    now: datetime,
) -> None:
    """As it was counted. What a card takes at the same moment waits."""
    values = {"words": words.strip(), "place": place, "supplier": supplier, "price_each": price_each, "count": count}
    _check(values)
    with transaction.atomic():
        row = _locked(part)
        before = row.count
        for name, value in values.items():
            setattr(row, name, value)
        _saved(row, f"changed the part {row.words}: {_plain(count)} in stock, before {_plain(before)}", by, now)


@transaction.atomic
def take_off(part: StockPart, *, by: Person, now: datetime) -> None:
    """It is offered no more. Cards and orders that name it stay."""
    row = _locked(part)
    row.is_listed = False
    row.save(update_fields=["is_listed"])
    trail.wrote(did=f"took the part {row.words} off the list", about="the shop", by=by, now=now)


def take(part: StockPart, quantity: Decimal) -> None:
    """Out of stock for a card, within its change. Refused if there are not so many, whoever was quicker."""
    row = _locked(part)
    if quantity > row.count:
        raise Refused(f"{row.words}: {_plain(row.count)} in stock, not {_plain(quantity)}. Order it instead.")
    row.count -= quantity
    row.save(update_fields=["count"])


def put_back(part: StockPart, quantity: Decimal) -> None:
    """Into stock again, within the change of a card."""
    row = _locked(part)
    row.count = min(row.count + quantity, MOST_OF_A_PART)
    row.save(update_fields=["count"])


def receive(
    part: StockPart | None,
    quantity: Decimal,
    *,
    words: str,
    supplier: str,
    price_each: Decimal,
    by: Person,
    now: datetime,
) -> StockPart:
    """Into stock, within the change of an order. One that is not on the list is put on it."""
    found = part if part and part.is_listed else StockPart.objects.filter(is_listed=True, words=words).first()
    if found:
        put_back(found, quantity)
        return found
    return add(words=words, place="", supplier=supplier, price_each=price_each, count=quantity, by=by, now=now)


def _plain(number: Decimal) -> str:
    return f"{number.normalize():f}"


def _locked(part: StockPart) -> StockPart:
    return StockPart.objects.select_for_update().get(pk=part.pk)


def _saved(row: StockPart, did: str, by: Person, now: datetime) -> StockPart:
    try:
        with transaction.atomic():
            row.save()
            trail.wrote(did=did, about="the shop", by=by, now=now)
    except IntegrityError as error:
        if not broke(error, StockPart, "one_listed_part_a_name"):
            raise
        raise BadInput("Part", row.words, "one that is not on the list yet") from error
    return row


def _check(values: Mapping[str, object]) -> None:
    if not values["words"]:
        raise BadInput("Part", None, "a few words to say what it is")
    count, price = Decimal(str(values["count"])), Decimal(str(values["price_each"]))
    if not 0 <= count <= MOST_OF_A_PART:
        raise BadInput("In stock", count, f"0 to {MOST_OF_A_PART:,}")
    if not 0 <= price <= MOST:
        raise BadInput("Price each", price, f"0 to {pounds_words(MOST)}")
