"""The pages that lead the boss of a new garage until it can sell the first roller time, and its opening."""

from collections.abc import Mapping
from datetime import datetime
from decimal import Decimal

from django.db import transaction

from garage.changes import trail
from garage.changes.people import people
from garage.changes.shop import kinds, stations
from garage.changes.shop.shop import put, set_opening
from garage.core import paid_to
from garage.core.currencies import in_units
from garage.core.errors import BadInput, Refused
from garage.core.time.open_days import Hours
from garage.models.people import Person
from garage.models.shop import BENCH, PLACE_WORDS, ROLLER, Shop, Station, VisitKind
from garage.reads.setting_up import first_session, missing, roller_kind

MOST_STATIONS = 9  # of one kind; a garage of one to three people has fewer


def say_garage(*, by: Person, now: datetime, **values: object) -> None:
    """values: name, address, telephone, email."""
    _settings(values, by=by, now=now)


def say_money(*, labour_per_hour: Decimal, vat_number: str, payment_words: str, by: Person, now: datetime) -> None:
    if labour_per_hour <= 0:
        raise BadInput(in_units("Labour, {units} an hour"), labour_per_hour, "more than 0")
    values = {"labour_per_hour": labour_per_hour, "payment_words": payment_words}
    _settings(values | {"vat_number": paid_to.vat_number(vat_number)}, by=by, now=now)


@transaction.atomic
def set_places(hours: Mapping[int, Hours | None], *, rollers: int, benches: int, by: Person, now: datetime) -> None:
    """How many rollers and benches there are, and when they are open: by weekday, 0 is Monday."""
    if not any(hours.values()):
        raise BadInput("Monday: opens", None, "a time on at least one weekday")
    for kind, count, where in ((ROLLER, rollers, "Rollers"), (BENCH, benches, "Benches")):
        if not 1 <= count <= MOST_STATIONS:
            raise BadInput(where, count, f"1 to {MOST_STATIONS}")
        _have(kind, count, by=by, now=now)
    set_opening(hours, by=by, now=now)


@transaction.atomic
def set_worker(
    person: Person,
    hours: Mapping[int, people.DayHours | None],
    *,
    does_bench: bool,
    does_rollers: bool,
    by: Person,
    now: datetime,
) -> None:
    """What the boss does, and when."""
    if not (any(hours.values()) and (does_bench or does_rollers)):
        raise Refused("Say at least one day and one place, bench or rollers. Others are added below.")
    row = Person.objects.select_for_update().get(pk=person.pk)
    changed = put(row, {"does_bench": does_bench, "does_rollers": does_rollers})
    if changed:
        trail.wrote(did=f"changed {row.name}", about=f"person {row.pk}", by=by, now=now, changed=changed)
    people.set_hours(row, hours, by=by, now=now)


def set_session(*, by: Person, now: datetime, **values: object) -> VisitKind:
    """The roller session that can be booked online. values: fields of VisitKind besides its place."""
    price = values["price"]
    if not isinstance(price, Decimal) or price <= 0:
        raise BadInput(in_units("Price, {units}"), price, "more than 0")
    row = roller_kind()
    offered = values | {"at": ROLLER, "is_offered": True}
    if row is None:
        return kinds.add_visit_kind(by=by, now=now, order=1, **offered)
    kinds.change_visit_kind(row, by=by, now=now, **offered)
    return row


@transaction.atomic
def open_garage(*, by: Person, now: datetime) -> None:
    """From now on everybody sees it and can book. Refused while a roller time could not be sold."""
    shop = Shop.objects.select_for_update().get()
    if shop.is_open:
        return
    if missing(shop):
        raise Refused("Something is still missing: see the list.")
    if first_session(shop, now=now) is None:
        raise Refused("No roller time can be sold with these hours and people: see the list.")
    shop.is_open = True
    shop.save(update_fields=["is_open"])
    trail.wrote(did="opened the garage", about="the shop", by=by, now=now)


def _have(kind: str, count: int, *, by: Person, now: datetime) -> None:
    rows = list(Station.objects.filter(kind=kind).order_by("number"))
    for number in range(len(rows) + 1, count + 1):
        name = "Rollers" if kind == ROLLER and count == 1 else f"{PLACE_WORDS[kind].capitalize()} {number}"
        stations.add(kind=kind, name=name, by=by, now=now)
    for row in reversed(rows[count:]):
        stations.remove(row, by=by, now=now)


def _settings(values: Mapping[str, object], *, by: Person, now: datetime) -> None:
    with transaction.atomic():
        changed = put(Shop.objects.select_for_update().get(), values)
        if changed:
            trail.wrote(did="changed the settings", about="the shop", by=by, now=now, changed=changed)
