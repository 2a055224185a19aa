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
    _check_measures(values)
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
    if not Decimal(0) <= values["deposit"] <= values["price"]:
        raise BadInput("Deposit", values["deposit"], f"0 to the price, {values['price']}")
    if values["booked_as"] in {VisitKind.SET_UP, VisitKind.POWER_RUN} and values["at"] != ROLLER:
        raise BadInput("Where", values["at"], "the rollers for a set-up or a power run")


def _check_machine_kind(values: Mapping[str, Any], others: models.QuerySet[MachineKind]) -> None:
    first, last = values["first_year"], values["last_year"]
    if first and last and last < first:
        raise BadInput("Last year", last, f"{first} or later")
    same = others.filter(make__iexact=values["make"], model__iexact=values["model"], first_year=first)
    _refuse_taken("Model", values["model"], same)
    _check_measures(values)


def _check_measures(values: Mapping[str, Any]) -> None:
    """Limits that no engine of this trade exceeds. Common practice, no source."""
    stroke, rod = values["stroke_mm"], values["rod_mm"]
    _check_between("Stroke, mm", stroke, 10, 200)
    _check_between("Rod, mm", rod, 20, 400)
    if stroke and rod and rod * 2 <= stroke:
        raise BadInput("Rod, mm", rod, f"longer than half the stroke, {stroke / 2}")
    _check_between("Flywheel, mm across", values["flywheel_mm"], 30, 500)
    _check_between("Static timing, degrees BTDC", values["spec_btdc"], -10, 60)
    _check_between("Change from tickover to peak, degrees", values["curve_deg"], 0, 40)
    _check_between("Revs on the stand", values["design_rpm"], 1000, 20000)
    if values["fires_per_turn"] not in {None, 0.5, 1.0, 2.0}:  # the values that the judgement knows
        raise BadInput("Sparks a turn", values["fires_per_turn"], "0.5, 1 or 2")


def _check_between(where: str, found: Any, least: int, most: int) -> None:
    if found is not None and not least <= found <= most:
        raise BadInput(where, found, f"{least} to {most}, or nothing")
