"""Rollers and benches: numbered from 1 in each kind, because a place sold is the n-th of its kind."""

from datetime import datetime

from django.db import transaction

from garage.changes import trail
from garage.core.errors import Refused
from garage.models.people import Person
from garage.models.shop import PLACE_KINDS, Station
from garage.models.visits import SoldPiece

KIND_WORDS = dict(PLACE_KINDS)


def add(*, kind: str, name: str, by: Person, now: datetime) -> Station:
    """Adds the next of its kind."""
    with transaction.atomic():
        number = Station.objects.filter(kind=kind).count() + 1
        row = Station.objects.create(kind=kind, number=number, name=name)
        trail.wrote(did=f"added {name} ({KIND_WORDS[kind]} {number})", about="the shop", by=by, now=now)
        return row


def rename(row: Station, *, name: str, by: Person, now: datetime) -> None:
    with transaction.atomic():
        before, row.name = row.name, name
        row.save(update_fields=["name"])
        trail.wrote(did=f"renamed {before} to {name}", about="the shop", by=by, now=now)


def remove(row: Station, *, by: Person, now: datetime) -> None:
    """Only the last of its kind, and only while no time is sold that needs it."""
    with transaction.atomic():
        if Station.objects.filter(kind=row.kind, number__gt=row.number).exists():
            raise Refused(f"Only the last of the {KIND_WORDS[row.kind]} can be removed. Rename the others as you need.")
        if row.number == 1 and row.kind == "roller":
            raise Refused("A rolling road keeps at least one roller.")
        ahead = SoldPiece.objects.filter(at=row.kind, place__gte=row.number, begins_at__gte=now)
        if ahead.exists():
            raise Refused(f"{row.name} has times sold ahead. Move those visits first.")
        row.delete()
        trail.wrote(did=f"removed {row.name}", about="the shop", by=by, now=now)
