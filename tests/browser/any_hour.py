"""The demo for the browser tests: open every day, in a zone where it is forenoon now, so that they pass at any hour."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

from tests.prepared import manage

# Local, while the tests run: from half past ten to half past eleven a machine is on the rollers (jobs/demo/hours.py).
BEFORE_ELEVEN, AFTER_ELEVEN = 10, 11
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
    """A zone of the IANA list where it is within half an hour of eleven; its sign is turned round (POSIX): Etc/GMT-3 is
    east.
    """
    wished = BEFORE_ELEVEN if now.minute >= 30 else AFTER_ELEVEN
    east = (wished - now.astimezone(UTC).hour + 11) % 24 - 11
    return "Etc/GMT" if east == 0 else f"Etc/GMT{-east:+d}"


def load_demo(data: Path) -> None:
    """Into a garage that is prepared."""
    said = manage(data, "shell", "--no-imports", "--command", _LOAD.format(zone=forenoon_zone(datetime.now(UTC))))
    assert "loaded" in said


assert forenoon_zone(datetime(2026, 11, 25, 10, tzinfo=UTC)) == "Etc/GMT-1"
assert forenoon_zone(datetime(2026, 11, 25, 10, 30, tzinfo=UTC)) == "Etc/GMT"
assert forenoon_zone(datetime(2026, 11, 25, 10, tzinfo=UTC) - timedelta(hours=2)) == "Etc/GMT-3"
