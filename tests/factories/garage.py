"""Rows of the lowest room, valid with no argument: a test states only what it is about."""

from __future__ import annotations

import functools
import itertools
from datetime import UTC, datetime, time, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

from django.contrib.auth.hashers import make_password
from django.utils import timezone

from garage.core import states
from garage.models.owners import Machine, MachineKind, Owner
from garage.models.people import Person, WorkingHours
from garage.models.shop import ClosedDay, OpeningHours, Shop, Station, VisitKind
from garage.models.visits import Visit

_number = itertools.count(1)
MANY = 1000
LONDON = ZoneInfo("Europe/London")  # where the factories' garage is
WORKDAYS = range(5)  # Monday to Friday


def shop(**given: object) -> Shop:
    """The shop, open Monday to Friday 8:00 to 17:30, one roller and two benches. Fix first acts at once: no owner is
    asked how. One owner may book as much as a test needs.
    """
    values = {
        "name": "Quarry Lane Rolling Road",
        "address": "Quarry Lane\nAmbleford",
        "telephone": "01632 960100",
        "email": "garage@example.com",
        "vat_number": "",
        "labour_per_hour": Decimal("45.00"),
        "choose_hours": 0,
        "holds_per_network": MANY,
        "visits_per_owner": MANY,
        "most_unconfirmed": MANY,
        "most_online_an_hour": MANY,
    } | given
    row, _ = Shop.objects.update_or_create(id=1, defaults=values)
    for weekday in WORKDAYS:
        OpeningHours.objects.get_or_create(weekday=weekday, defaults={"opens": time(8), "closes": time(17, 30)})
    for kind, count in (("roller", 1), ("bench", 2)):
        for number in range(1, count + 1):
            Station.objects.get_or_create(kind=kind, number=number, defaults={"name": f"{kind.capitalize()} {number}"})
    return row


WORKS = {"begins": time(8), "ends": time(17, 30), "break_begins": time(12, 30), "break_ends": time(13)}


def hours_today() -> None:
    """Open, and everybody there at work, whatever weekday or bank holiday a test runs on."""
    today = Shop.objects.get().local_time.day(timezone.now())
    ClosedDay.objects.get_or_create(day=today, defaults={"why": "Worked", "open_after_all": True})
    OpeningHours.objects.get_or_create(weekday=today.weekday(), defaults={"opens": time(8), "closes": time(17, 30)})
    for one in Person.objects.all():
        WorkingHours.objects.get_or_create(person=one, weekday=today.weekday(), defaults=WORKS)


def roller_hours(begins: time | None = None, ends: time | None = None, *, has_rollers: bool = True) -> None:
    """The same for every weekday."""
    OpeningHours.objects.update(rollers_from=begins, rollers_until=ends, has_rollers=has_rollers)


@functools.cache
def _hashed(password: str) -> str:
    """Hashing is slow by design: once a password, not once a person."""
    return make_password(password)


def person(**given: object) -> Person:
    """A mechanic with both skills who works 8:00 to 17:30, dinner 12:30 to 13:00."""
    n = next(_number)
    values = {
        "username": f"person{n}",
        "first_name": f"Person {n}",
        "role": Person.MECHANIC,
        "does_bench": True,
        "does_rollers": True,
    } | given
    password = values.pop("password", "ambleford-lane-7")
    row = Person(**values)
    row.password = _hashed(password)
    row.save()
    for weekday in WORKDAYS:
        WorkingHours.objects.create(person=row, weekday=weekday, **WORKS)
    return row


def boss(**given: object) -> Person:
    return person(**{"role": Person.BOSS} | given)


def front_desk(**given: object) -> Person:
    return person(**{"role": Person.FRONT_DESK, "does_bench": False, "does_rollers": False} | given)


def visit_kind(**given: object) -> VisitKind:
    """A set-up of 90 minutes on the rollers; slug or booked_as may be given."""
    values = {
        "slug": "set-up",
        "booked_as": "set-up",
        "name": "Set-up",
        "goes_home_with": "A machine jetted for its pipe and filter, with its curve on paper.",
        "at": "roller",
        "minutes": 90,
        "price": Decimal("120.00"),
        "deposit": Decimal("0"),
    } | given
    row, _ = VisitKind.objects.update_or_create(slug=values.pop("slug"), defaults=values)
    return row


def owner(**given: object) -> Owner:
    n = next(_number)
    values = {
        "name": f"Owner {n}",
        "email": f"owner{n}@example.org",
        "telephone": "07700 900123",
        "first_seen_at": timezone.now(),
    }
    return Owner.objects.create(**values | given)


def machine_kind(**given: object) -> MachineKind:
    values = {
        "make": "Corrick",
        "model": str(next(_number)),
        "fires_per_turn": 1.0,
        "gearbox": "geared",
        "ignition": "electronic",
        "fed_by": "magneto",
        "stroke_mm": Decimal("54"),
        "rod_mm": Decimal("110"),
        "spec_btdc": Decimal("17"),
        "spec_curve": "fixed",
        "design_rpm": 9000,
    }
    return MachineKind.objects.create(**values | given)


def machine(**given: object) -> Machine:
    values = {"words": "Corrick 185"} | given
    values.setdefault("owner", None)
    values["owner"] = values["owner"] or owner()
    return Machine.objects.create(**values)


def visit(**given: object) -> Visit:
    """A booked set-up tomorrow-ish without sold pieces or steps: use changes.visit.bookings where those matter."""
    machine_row = given.pop("machine", None) or machine()
    kind = given.pop("kind", None) or visit_kind()
    values = {
        "number": next(_number),
        "owner": machine_row.owner,
        "machine": machine_row,
        "kind": kind,
        "state": states.BOOKED,
        "booked_at": timezone.now(),
        "at": kind.at,
        "starts_at": next_workday_at(10),
        "minutes": kind.minutes,
        "price": kind.price,
    }
    return Visit.objects.create(**values | given)


def next_workday_at(hour: int, minute: int = 0, ahead: int = 2) -> datetime:
    """That time of the garage, in UTC, on the first Monday to Friday some days ahead, even if it is a holiday."""
    today = timezone.now().astimezone(LONDON)
    moment = today.replace(hour=hour, minute=minute, second=0, microsecond=0) + timedelta(days=ahead)
    while moment.weekday() not in WORKDAYS:
        moment += timedelta(days=1)
    return moment.astimezone(UTC)
