"""The demo's garage: Quarry Lane Rolling Road in Ambleford, its people, stations, kinds and prices. All invented."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, time
from decimal import Decimal

from garage.changes.people import people
from garage.changes.shop import kinds, packer_stock, stations
from garage.changes.shop.begin import found
from garage.changes.shop.shop import close_day, set_opening
from garage.core.time.open_days import Hours, bank_holidays
from garage.models.owners import MachineKind
from garage.models.people import Person
from garage.models.shop import BENCH, ROLLER, VisitKind
from jobs.demo.hours import WORKDAYS, played_at

OPENS, CLOSES = time(8), time(17, 30)

SHOP = {
    "name": "Quarry Lane Rolling Road",
    "address": "Quarry Lane\nAmbleford",
    "telephone": "01632 960185",
    "email": "workshop@example.com",
    "vat_number": "GB999999973",  # invented; only its check digits are right
    "labour_per_hour": Decimal("54.00"),
    "payment_words": "Cash, card or bank transfer, with the invoice number. This garage is invented: pay nothing.",
    "bank_account": "99999912345678",  # invented: no bank has this sort code
    "cancel_words": "We refund the deposit in full up to a day before. After that we keep it.",
    "does_words": (
        "We set up two-stroke singles and twins on our rolling road: carburettor, ignition and exhaust together, "
        "with a curve before and after. Small four-strokes are welcome too."
    ),
}

LOG_INS = (  # log-in, password, name, role, works at the bench, works at the rollers
    ("boss", "ambleford-boss", ("Jo", "Harker"), Person.BOSS, True, True),
    ("mechanic", "ambleford-rollers", ("Sam", "Birkett"), Person.MECHANIC, True, True),
    ("desk", "ambleford-desk", ("Robin", "Tyson"), Person.FRONT_DESK, False, False),
)
DINNER = {"boss": (time(12), time(12, 30)), "mechanic": (time(12, 30), time(13))}  # one of the two is always there

VISIT_KINDS = (
    {
        "name": "Set-up",
        "booked_as": VisitKind.SET_UP,
        "goes_home_with": "A machine jetted for its pipe and filter, and its curve before and after on paper.",
        "at": ROLLER,
        "minutes": 90,
        "price": Decimal("120.00"),
        "deposit": Decimal("30.00"),
    },
    {
        "name": "Power run",
        "booked_as": VisitKind.POWER_RUN,
        "goes_home_with": "Three pulls, the best curve on paper, and what we heard and saw.",
        "at": ROLLER,
        "minutes": 45,
        "price": Decimal("60.00"),
        "deposit": Decimal(0),
    },
    {
        "name": "Bench check",
        "booked_as": VisitKind.BENCH_CHECK,
        "goes_home_with": "Ignition, fuel and compression looked at, and a list of what it needs.",
        "at": BENCH,
        "minutes": 45,
        "price": Decimal("45.00"),
        "deposit": Decimal(0),
    },
)

_TWO_STROKE = {
    "fires_per_turn": 1.0,
    "gearbox": "geared",
    "ignition": "electronic",
    "fed_by": "magneto",
    "oiling": "mixed",
    "spec_curve": "fixed",
    "curve_deg": None,
    "flywheel_mm": None,
}
MACHINE_KINDS = (  # every measure is invented
    _TWO_STROKE
    | {"make": "Corrick", "model": "185", "first_year": 1979, "last_year": 1986}
    | {"flywheel_mm": Decimal("112")}
    | {"stroke_mm": Decimal("58"), "rod_mm": Decimal("116"), "spec_btdc": Decimal("22"), "design_rpm": 8800},
    _TWO_STROKE
    | {"make": "Corrick", "model": "90", "first_year": 1974, "last_year": 1990}
    | {"flywheel_mm": Decimal("94")}
    | {"stroke_mm": Decimal("44"), "rod_mm": Decimal("90"), "spec_btdc": Decimal("24"), "design_rpm": 9600},
    _TWO_STROKE
    | {"make": "Tarnhow", "model": "250", "first_year": 1981, "last_year": 1988, "fires_per_turn": 2.0}
    | {"flywheel_mm": Decimal("118")}
    | {"stroke_mm": Decimal("54"), "rod_mm": Decimal("110"), "spec_btdc": Decimal("21"), "design_rpm": 10400},
    _TWO_STROKE
    | {"make": "Ostler", "model": "110", "first_year": 1992, "last_year": 2004, "fires_per_turn": 0.5}
    | {"stroke_mm": Decimal("50"), "rod_mm": Decimal("94"), "spec_btdc": Decimal("10"), "design_rpm": 9000}
    | {"spec_curve": "advancing", "curve_deg": Decimal("18"), "fed_by": "battery", "oiling": ""},
)


PACKERS = (("0.10", 6), ("0.20", 4), ("0.30", 4), ("0.50", 8), ("0.80", 3), ("1.00", 5))  # mm, how many
PACKER_PRICE = Decimal("1.20")


@dataclass(frozen=True)
class Garage:
    boss: Person
    mechanic: Person
    desk: Person
    visit_kinds: dict[str, VisitKind]
    machine_kinds: dict[str, MachineKind]


def founded_to_play(now: datetime) -> Garage:
    """The garage with everything except visits, open and busy at now."""
    at = played_at(now, bank_holidays("GB", "ENG", now.year - 1, now.year + 1))
    garage = founded(now=now, shop=SHOP | {"zone": at.zone, "demo_words": at.words}, weekdays=at.weekdays)
    if at.worked:
        close_day(day=at.worked, why="worked after all", open_after_all=True, by=garage.boss, now=now)
    return garage


def founded(
    *,
    now: datetime,
    shop: Mapping[str, object] = SHOP,
    visit_kinds: Sequence[dict[str, object]] = VISIT_KINDS,
    weekdays: Iterable[int] = WORKDAYS,
) -> Garage:
    """The garage with everything except visits. weekdays: that it works, 0 is Monday."""
    week = tuple(weekdays)
    staff = _people(shop, week, now=now)
    boss = staff["boss"]
    set_opening(dict.fromkeys(week, Hours(OPENS, CLOSES)), by=boss, now=now)
    for kind, name in ((ROLLER, "Rollers"), (BENCH, "Bench 1"), (BENCH, "Bench 2")):
        stations.add(kind=kind, name=name, by=boss, now=now)
    for thickness_mm, count in PACKERS:
        packer_stock.add(thickness_mm=Decimal(thickness_mm), count=count, price_each=PACKER_PRICE, by=boss, now=now)
    offered = [
        kinds.add_visit_kind(by=boss, now=now, order=order, is_offered=True, **values)
        for order, values in enumerate(visit_kinds)
    ]
    machine_kinds = [kinds.add_machine_kind(by=boss, now=now, **values) for values in MACHINE_KINDS]
    return Garage(
        **staff,
        visit_kinds={kind.slug: kind for kind in offered},
        machine_kinds={str(kind): kind for kind in machine_kinds},
    )


def _people(shop: Mapping[str, object], week: Sequence[int], *, now: datetime) -> dict[str, Person]:
    staff: dict[str, Person] = {}
    for username, password, (first, last), role, bench, rollers in LOG_INS:
        names = {"username": username, "first_name": first, "last_name": last}
        values = names | {"does_bench": bench, "does_rollers": rollers}
        if role == Person.BOSS:
            staff[username] = found(shop, values, password=password, now=now)
        else:
            staff[username] = people.add(password=password, by=staff["boss"], now=now, role=role, **values)
        if bench or rollers:
            day = people.DayHours(OPENS, CLOSES, *DINNER[username])
            people.set_hours(staff[username], dict.fromkeys(week, day), by=staff["boss"], now=now)
    return staff


def log_in_lines() -> list[str]:
    lines = ["The demo's garage, people, machines and figures are invented. Its log-ins:"]
    for username, password, names, role, *_ in LOG_INS:
        role_words = Person(role=role).get_role_display()
        lines.append(f"  {username:<10}{password:<20}{' '.join(names)}, {role_words}")
    return lines
