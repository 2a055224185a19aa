"""Visit kinds and machine kinds: added and changed, never deleted, because visits refer to them."""

from collections.abc import Mapping
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db import models, transaction
from django.utils.text import slugify

from garage import events
from garage.changes import trail
from garage.changes.shop.shop import put
from garage.core.errors import BadInput
from garage.core.machines.gearing import NOT_SAID, gearing_of
from garage.core.machines.measures import check_measures, check_years
from garage.core.money import MOST
from garage.models.actors import Actor
from garage.models.owners import Machine, MachineKind
from garage.models.people import Person
from garage.models.shop import ROLLER, VisitKind

WORDS_OF_THE_BOOKING_PAGES = frozenset({"hold", "who", "look", "confirm"})  # /book/<word>/ is a page of its own


def add_visit_kind(*, by: Person, now: datetime, **values: object) -> VisitKind:
    _check_visit_kind(values)
    slug = slugify(str(values["name"]))
    if not slug or slug in WORDS_OF_THE_BOOKING_PAGES:
        raise BadInput("Name", values["name"], "a name in letters that is not hold, who, look or confirm")
    _refuse_taken("Name", values["name"], VisitKind.objects.filter(slug=slug))
    with transaction.atomic():
        row = VisitKind.objects.create(slug=slug, **values)
        trail.wrote(did=f"added the visit kind {row.name}", about="the shop", by=by, now=now)
        return row


def change_visit_kind(row: VisitKind, *, by: Person, now: datetime, **values: object) -> None:
    """Existing bookings keep the price and minutes that were agreed."""
    _check_visit_kind(values)
    with transaction.atomic():
        fresh = VisitKind.objects.select_for_update().get(pk=row.pk)
        _write(fresh, values, by=by, now=now, did=f"changed the visit kind {fresh.name}")


def add_machine_kind(*, by: Person, now: datetime, **values: object) -> MachineKind:
    _check_machine_kind(values, MachineKind.objects.all())
    with transaction.atomic():
        row = MachineKind.objects.create(**values)
        trail.wrote(did=f"added the machine kind {row}", about="the shop", by=by, now=now)
        return row


def change_machine_kind(row: MachineKind, *, by: Person, now: datetime, **values: object) -> None:
    _check_machine_kind(values, MachineKind.objects.exclude(pk=row.pk))
    with transaction.atomic():
        fresh = MachineKind.objects.select_for_update().get(pk=row.pk)
        _write(fresh, values, by=by, now=now, did=f"changed the machine kind {fresh}")
        events.machine_kind_measured.send(sender=MachineKind, kind=fresh, now=now)


def measure_machine(row: Machine, *, by: Person, now: datetime, **values: object) -> None:
    """What this machine is, and where it differs from its kind."""
    check_measures(values)
    gearing_of({**NOT_SAID, **values})
    with transaction.atomic():
        fresh = Machine.objects.select_for_update().get(pk=row.pk)
        changed = put(fresh, values)
        if changed:
            trail.wrote(
                did=f"changed what is known of {fresh.words}",
                about=f"machine {row.pk}",
                by=by,
                now=now,
                changed=changed,
            )
            events.machine_measured.send(sender=Machine, machine=fresh, now=now)


def oiled_by(row: Machine, *, oiling: str, by: Actor, now: datetime) -> Machine:
    """Mixed petrol or a pump, as its owner or the workshop told. Inside a change that judges its visit itself."""
    fresh = Machine.objects.select_related("kind", "owner").select_for_update(of=("self",)).get(pk=row.pk)
    changed = put(fresh, {"oiling": oiling})
    if changed:
        about = f"machine {row.pk}"
        trail.wrote(did=f"changed what is known of {fresh.words}", about=about, by=by, now=now, changed=changed)
    return fresh


def _write(row: models.Model, values: Mapping[str, object], *, by: Person, now: datetime, did: str) -> None:
    changed = put(row, values)
    if changed:
        trail.wrote(did=did, about="the shop", by=by, now=now, changed=changed)


def _refuse_taken(where: str, found: object, rows: models.QuerySet[VisitKind] | models.QuerySet[MachineKind]) -> None:
    if rows.exists():
        raise BadInput(where, found, "one that is not on the list yet")


def _check_visit_kind(values: Mapping[str, Any]) -> None:
    if values["minutes"] <= 0 or values["minutes"] % 5:
        raise BadInput("Minutes", values["minutes"], "a multiple of five minutes, 5 or more")
    if not Decimal(0) <= values["price"] <= MOST:
        raise BadInput("Price", values["price"], f"0 to {MOST}")
    if not Decimal(0) <= values["deposit"] <= values["price"]:
        raise BadInput("Deposit", values["deposit"], f"0 to the price, {values['price']}")
    if values["booked_as"] in {VisitKind.SET_UP, VisitKind.POWER_RUN} and values["at"] != ROLLER:
        raise BadInput("Where", values["at"], "the rollers for a set-up or a power run")


def _check_machine_kind(values: Mapping[str, Any], others: models.QuerySet[MachineKind]) -> None:
    first, last = values["first_year"], values["last_year"]
    check_years(first, last)
    same = others.filter(make__iexact=values["make"], model__iexact=values["model"], first_year=first)
    _refuse_taken("Model", values["model"], same)
    check_measures(values)
    gearing_of({**NOT_SAID, **values})
