"""The demo for the browser tests: open every day, in a zone where it is forenoon now, so that they pass at any hour."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

from tests.prepared import manage

WISHED_HOUR = 11  # local, while the tests run
_LOAD = """
from django.db import transaction
from django.utils import timezone
from garage.changes.shop import shop
from garage.core.time.open_days import bank_holidays
from jobs.demo import garage, visits

zoned = garage.SHOP | {{"zone": {zone!r}}}
with transaction.atomic():
    now = timezone.now()
    founded = garage.founded(shop=zoned, now=now, weekdays=range(7))
    for day, name in bank_holidays("GB", "ENG", now.year - 1, now.year + 1).items():
        shop.close_day(day=day, why=name, open_after_all=True, by=founded.boss, now=now)
    visits.told(founded, now)
print("loaded")
"""


def forenoon_zone(now: datetime) -> str:
    """A zone of the IANA list where the hour is WISHED_HOUR; its sign is turned round (POSIX): Etc/GMT-3 is east."""
    east = (WISHED_HOUR - now.astimezone(UTC).hour + 11) % 24 - 11
    return "Etc/GMT" if east == 0 else f"Etc/GMT{-east:+d}"


def load_demo(data: Path) -> None:
    """Into a garage that is prepared."""
    said = manage(data, "shell", "--no-imports", "--command", _LOAD.format(zone=forenoon_zone(datetime.now(UTC))))
    assert "loaded" in said


assert forenoon_zone(datetime(2026, 11, 25, 10, tzinfo=UTC)) == "Etc/GMT-1"
assert forenoon_zone(datetime(2026, 11, 25, 10, tzinfo=UTC) - timedelta(hours=2)) == "Etc/GMT-3"
