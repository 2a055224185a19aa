"""The secret addresses of calendars and the wall are changed: each earlier one is dead at once."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from garage.changes import trail
from garage.models.people import Person
from garage.models.shop import Shop, Station


def change_own_feed(person: Person, *, now: datetime) -> None:
    with transaction.atomic():
        row = Person.objects.select_for_update().get(pk=person.pk)
        row.feed_generation += 1
        row.save(update_fields=["feed_generation"])
        did = "changed the address of their own calendar"
        trail.wrote(did=did, about=f"person {row.pk}", by=row, now=now)


def change_station_feed(station: Station, *, by: Person, now: datetime) -> None:
    with transaction.atomic():
        row = Station.objects.select_for_update().get(pk=station.pk)
        row.feed_generation += 1
        row.save(update_fields=["feed_generation"])
        trail.wrote(did=f"changed the address of {row.name}'s calendar", about="the shop", by=by, now=now)


def change_wall(*, by: Person, now: datetime) -> None:
    with transaction.atomic():
        row = Shop.objects.select_for_update().get(pk=1)
        row.wall_generation += 1
        row.save(update_fields=["wall_generation"])
        trail.wrote(did="changed the address of the wall", about="the shop", by=by, now=now)
