"""The first rows of all: the shop, and the boss who can then add everybody and everything else."""

from __future__ import annotations

from collections.abc import Mapping

from django.db import transaction

from garage.changes import people, trail
from garage.core.errors import Refused
from garage.models.people import Person
from garage.models.shop import Shop


@transaction.atomic
def found(shop: Mapping[str, object], boss: Mapping[str, object], *, password: str) -> Person:
    """shop: fields of Shop by name; boss: fields of Person. Only in a garage that has neither."""
    if Shop.objects.exists() or Person.objects.exists():
        raise Refused("This garage is set up already: what it has is changed on the page of the shop.")
    Shop.objects.create(id=1, **shop)
    person = people.add(password=password, by=None, role=Person.BOSS, **boss)
    trail.wrote(did="opened the garage", about="the shop", by=person)
    return person
