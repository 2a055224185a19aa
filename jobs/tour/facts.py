"""What the random seed decides: names, the day, prices, readings. The same seed gives the same story, word for word."""

from __future__ import annotations

import random
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from itertools import count

from garage.core.time.local_time import LocalTime

FIRST_NAMES = ("Alex", "Chris", "Jody", "Kim", "Lou", "Nic", "Pat", "Robin", "Sandy", "Val")
LAST_NAMES = ("Ashworth", "Braithe", "Dacre", "Elter", "Gill", "Howe", "Irton", "Keld", "Lune", "Wray")
MACHINES = ("Corrick 185", "Corrick 90", "Tarnhow 250")  # two-strokes: the story is theirs
FIRST_MONDAY = date(2027, 1, 4)
WEEKS = 40
OTHERS_FROM = 1000  # seeds of other owners, away from those that people type
LONDON = LocalTime.named("Europe/London")


@dataclass(frozen=True)
class Facts:
    """booked_on: the evening of the booking. pick: which of the times offered, 0 to 1. Prices in pounds, VAT included.

    low_by_deg: how far below spec the strobe reads at tickover before the bench; climbs_deg: how far it then climbs.
    limit_pounds: bench work that the owner agrees to without being asked again.
    """

    name: str
    email: str
    telephone: str
    machine: str
    booked_on: datetime
    pick: float
    price: Decimal
    deposit: Decimal
    labour_per_hour: Decimal
    packer_mm: Decimal
    packer_price: Decimal
    low_by_deg: int
    climbs_deg: int
    peak_rpm: int
    bench_minutes: int
    power: Decimal
    limit_pounds: int


def of_seed(seed: int) -> Facts:
    chance = random.Random(seed)  # noqa: S311  (a story, no secret)
    name = f"{chance.choice(FIRST_NAMES)} {chance.choice(LAST_NAMES)}"
    monday = FIRST_MONDAY + timedelta(weeks=chance.randrange(WEEKS))
    evening = time(18 + chance.randrange(3), chance.randrange(60))
    return Facts(
        name=name,
        email=f"{name.lower().replace(' ', '.')}@example.{chance.choice(('org', 'net'))}",
        telephone=f"07700 900{chance.randrange(1000):03d}",
        machine=chance.choice(MACHINES),
        booked_on=LONDON.to_utc(datetime.combine(monday, evening)),
        pick=chance.random(),
        price=Decimal(chance.randrange(110, 165, 5)),
        deposit=Decimal(chance.randrange(20, 45, 5)),
        labour_per_hour=Decimal(chance.randrange(40, 70, 5)),
        packer_mm=Decimal(chance.randrange(3, 9)) / 10,
        packer_price=Decimal(chance.randrange(120, 480, 10)) / 100,
        low_by_deg=chance.randrange(2, 4),
        climbs_deg=chance.randrange(5, 7),
        peak_rpm=chance.randrange(8000, 9600, 100),
        bench_minutes=chance.randrange(36, 60, 6),
        power=Decimal(chance.randrange(120, 320)) / 10,
        limit_pounds=chance.randrange(60, 200, 10),
    )


def another_owner(seed: int) -> Facts:
    """Who comes to the same garage with another machine, with nothing to mend and without a deposit."""
    first = of_seed(seed)
    others = (of_seed(number) for number in count(OTHERS_FROM + seed))
    other = next(one for one in others if one.name != first.name and one.machine != first.machine)
    return replace(
        other,
        booked_on=first.booked_on,
        price=first.price,
        labour_per_hour=first.labour_per_hour,
        deposit=Decimal(0),
        bench_minutes=0,
        packer_price=Decimal(0),
    )
