"""Packers: what is in stock, and what is taken from it for a machine or put back."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.db import IntegrityError, transaction
from django.db.models import QuerySet

from garage import events
from garage.changes import trail
from garage.changes.day.constraints import broke
from garage.changes.shop.shop import put
from garage.core.currencies import in_units
from garage.core.errors import BadInput, Refused
from garage.core.money import MOST, pounds_words
from garage.core.text.packer_words import THICKEST_MM, mm_words, stack_words
from garage.models.packers import PackerStock
from garage.models.people import Person
from garage.models.visits import Visit

THINNEST_MM = Decimal("0.02")  # the thinnest shim steel; common practice, no source
MOST_OF_ONE = 99


@dataclass(frozen=True)
class PackersMoved:
    """A number of one thickness. price_each: pounds, VAT included, None if they are not charged."""

    thickness_mm: Decimal
    count: int
    price_each: Decimal | None


def add(*, thickness_mm: Decimal, count: int, price_each: Decimal | None, by: Person, now: datetime) -> PackerStock:
    if not THINNEST_MM <= thickness_mm <= THICKEST_MM:
        raise BadInput("Thickness, mm", thickness_mm, f"{THINNEST_MM} to {THICKEST_MM}")
    _check(count, price_each)
    try:
        with transaction.atomic():
            row = PackerStock.objects.create(thickness_mm=thickness_mm, count=count, price_each=price_each)
            did = f"put {count} packers of {mm_words(thickness_mm)} in stock"
            trail.wrote(did=did, about="the shop", by=by, now=now)
            return row
    except IntegrityError as error:
        if not broke(error, PackerStock, "one_row_a_thickness"):
            raise
        raise BadInput("Thickness, mm", thickness_mm, "one that is not on the list yet") from error


def alter(row: PackerStock, *, count: int, price_each: Decimal | None, by: Person, now: datetime) -> None:
    """A new count or another price."""
    _check(count, price_each)
    with transaction.atomic():
        fresh = PackerStock.objects.select_for_update().get(pk=row.pk)
        changed = put(fresh, {"count": count, "price_each": price_each})
        if changed:
            did = f"counted packers of {mm_words(fresh.thickness_mm)}: {count}"
            trail.wrote(did=did, about="the shop", by=by, now=now, changed=changed)


def remove(row: PackerStock, *, by: Person, now: datetime) -> None:
    with transaction.atomic():
        row.delete()
        trail.wrote(did=f"took packers of {mm_words(row.thickness_mm)} off the list", about="the shop", by=by, now=now)


@transaction.atomic
def take_out(visit: Visit, *, packers_mm: Sequence[Decimal], by: Person, now: datetime) -> None:
    """All of them or none, out of stock for this visit's machine and onto the card."""
    wanted = Counter(packers_mm)
    if not wanted:
        raise BadInput("The packers", None, "one at least")
    rows = {row.thickness_mm: row for row in _locked(wanted)}
    for thickness_mm, count in wanted.items():
        row = rows.get(thickness_mm)
        if row is None or row.count < count:
            left = row.count if row else 0
            raise Refused(
                f"Not enough {mm_words(thickness_mm)} packers in stock ({left} left): work the stack out again."
            )
        row.count -= count
        row.save(update_fields=["count"])
    trail.about_visit(visit, f"took packers of {stack_words(packers_mm)} from stock", by=by, now=now)
    taken = [PackersMoved(thickness_mm, count, rows[thickness_mm].price_each) for thickness_mm, count in wanted.items()]
    events.packers_taken.send(sender=Visit, visit=visit, packers=taken, by=by, now=now)


@transaction.atomic
def put_back(visit: Visit, *, packers_mm: Sequence[Decimal], by: Person, now: datetime) -> None:
    """They are no longer under that plate. A thickness removed from the list is added again."""
    counts = Counter(packers_mm)
    rows = {row.thickness_mm: row for row in _locked(counts)}
    for thickness_mm, count in counts.items():
        row = rows.get(thickness_mm) or PackerStock(thickness_mm=thickness_mm, count=0)
        row.count += count
        row.save()
    trail.about_visit(visit, f"put packers of {stack_words(packers_mm)} back in stock", by=by, now=now)
    back = [PackersMoved(thickness_mm, count, None) for thickness_mm, count in counts.items()]
    events.packers_put_back.send(sender=Visit, visit=visit, packers=back, by=by, now=now)


def _locked(counts: Counter[Decimal]) -> QuerySet[PackerStock]:
    """In a fixed order, so that two takers cannot deadlock."""
    return PackerStock.objects.select_for_update().filter(thickness_mm__in=list(counts)).order_by("thickness_mm")


def _check(count: int, price_each: Decimal | None) -> None:
    if not 0 <= count <= MOST_OF_ONE:
        raise BadInput("How many", count, f"0 to {MOST_OF_ONE}")
    if price_each is not None and not 0 <= price_each <= MOST:
        allowed = f"nothing to {pounds_words(MOST)}, or empty where they are not charged"
        raise BadInput(in_units("Price each, {units}"), price_each, allowed)
