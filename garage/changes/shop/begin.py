"""Sets up a garage: its first boss, its shop, and what no page can do without."""

from collections.abc import Mapping
from datetime import datetime, time
from decimal import Decimal

from django.db import transaction

from garage.changes import trail
from garage.changes.people import people
from garage.changes.shop import start_code
from garage.core.errors import Refused
from garage.models.people import Person
from garage.models.shop import BENCH, ROLLER, OpeningHours, Shop, Station, VisitKind
from garage.models.start_code import StartCode

WEEK = range(5)  # Monday to Friday
OPENS, CLOSES = time(8), time(17, 30)
FREES_AFTER_DAYS = 2  # after the day for a deposit, so that somebody can ring first; common practice, no source


@transaction.atomic
def found(shop: Mapping[str, object], boss: Mapping[str, object], *, password: str, now: datetime) -> Person:
    """Creates the first shop and person. shop: fields of Shop. boss: fields of Person. Refused if there is one.

    In a new garage an unpaid deposit lapses; one that stands keeps what its boss has chosen.
    """
    shop = {"deposit_frees_after_days": FREES_AFTER_DAYS, **shop}
    if Person.objects.exists():
        raise Refused(start_code.ALREADY_SET_UP)
    _, is_new = Shop.objects.get_or_create(id=1, defaults=shop)  # of two at once, the second waits for the first
    if not is_new:
        raise Refused(start_code.ALREADY_SET_UP)
    StartCode.objects.all().delete()
    person = people.begin_with(password=password, role=Person.BOSS, **boss)
    trail.wrote(did="set up the garage", about="the shop", by=person, now=now)
    return person


def begin_with_code(
    code: str, *, address_key: str, browser: str, password: str, now: datetime, **boss: object
) -> Person:
    """The first log-in, in the browser: a garage that is not open yet and has nothing but its boss. boss: fields of
    Person.
    """
    start_code.prove(code, address_key=address_key, browser=browser, now=now)
    with transaction.atomic():
        start_code.spend(code)
        return found({"labour_per_hour": Decimal(0), "is_open": False}, boss, password=password, now=now)


@transaction.atomic
def begin(*, garage: str, email: str, telephone: str, log_in_name: str, password: str, now: datetime) -> Person:
    """A garage without the demo, not open yet. The boss can log in and fill in what is still missing."""
    shop = {"name": garage, "telephone": telephone, "email": email, "labour_per_hour": Decimal("45.00")}
    who = {"username": log_in_name, "first_name": "Boss", "does_rollers": True}
    boss = found(shop | {"is_open": False}, who, password=password, now=now)
    OpeningHours.objects.bulk_create(OpeningHours(weekday=day, opens=OPENS, closes=CLOSES) for day in WEEK)
    Station.objects.create(kind=ROLLER, number=1, name="Rollers")
    Station.objects.create(kind=BENCH, number=1, name="Bench 1")
    VisitKind.objects.bulk_create(_visit_kinds())
    hours = {day: people.DayHours(OPENS, CLOSES, time(12, 30), time(13)) for day in WEEK}
    people.set_hours(boss, hours, by=boss, now=now)
    return boss


def _visit_kinds() -> list[VisitKind]:
    """To start with. The boss sets prices and minutes before anything is offered online."""
    common = {"price": Decimal("0.00"), "is_offered": False}
    return [
        VisitKind(
            slug="set-up",
            booked_as=VisitKind.SET_UP,
            name="Set-up",
            goes_home_with="A machine set up for its pipe and filter, with its curve on paper.",
            at=ROLLER,
            minutes=90,
            order=1,
            **common,
        ),
        VisitKind(
            slug="power-run",
            booked_as=VisitKind.POWER_RUN,
            name="Power run",
            goes_home_with="Its curve on paper.",
            at=ROLLER,
            minutes=45,
            order=2,
            **common,
        ),
        VisitKind(
            slug="bench-check",
            booked_as=VisitKind.BENCH_CHECK,
            name="Bench check",
            goes_home_with="What is wrong and what it takes to put right.",
            at=BENCH,
            minutes=60,
            order=3,
            **common,
        ),
    ]
