"""Which backups there are, which is due and which may go. A backup says in its name when and why it was made."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from enum import Enum

from garage.core.time.local_time import LocalTime

DAY_BEGINS = timedelta(hours=3)  # local time after midnight: nobody books, and what runs all night makes it then
TRIED_AGAIN_AFTER = timedelta(hours=1)  # since one failed
LATE_AFTER = timedelta(hours=48)  # a day left out because the computer was off is none
_NAME = re.compile(r"tickover-(\d{4}-\d\d-\d\d-\d{6})-([a-z-]+)\.zip")
_AT = "%Y-%m-%d-%H%M%S"  # UTC, so that names sort by time through both clock changes


class WhyMade(Enum):
    DAILY, BY_HAND, BEFORE_UPDATE, BEFORE_RESTORE = "daily", "by-hand", "before-update", "before-restore"


@dataclass(frozen=True, order=True)
class BackupName:
    at: datetime
    why: WhyMade

    def __str__(self) -> str:
        return f"tickover-{self.at.astimezone(UTC):{_AT}}-{self.why.value}.zip"


def read_name(text: str) -> BackupName | None:
    """None for a file that is no backup by its name.

    >>> name = read_name("tickover-2026-11-30-031500-daily.zip")
    >>> name.at.isoformat(), name.why.value
    ('2026-11-30T03:15:00+00:00', 'daily')
    >>> read_name("holidays.zip")
    """
    found = _NAME.fullmatch(text)
    try:
        return BackupName(datetime.strptime(found[1], _AT).replace(tzinfo=UTC), WhyMade(found[2])) if found else None
    except ValueError:
        return None


def is_due(last: datetime | None, *, now: datetime, local: LocalTime) -> bool:
    """One for each local day, which begins at DAY_BEGINS. last: when the last one of any kind was made."""
    return last is None or _day(last, local) < _day(now, local)


def is_late(last: datetime, *, now: datetime) -> bool:
    return now - last > LATE_AFTER


def may_be_tried(failed_at: datetime | None, *, now: datetime) -> bool:
    """Packing years of photos for nothing each few minutes would slow down everybody else."""
    return failed_at is None or not timedelta(0) <= now - failed_at < TRIED_AGAIN_AFTER


def superfluous(names: Iterable[BackupName], *, keep: int) -> list[BackupName]:
    """Of each kind all but the newest `keep`. What somebody made by hand stays until somebody takes it away."""
    by_kind: dict[WhyMade, list[BackupName]] = {}
    for name in sorted(names, key=lambda one: one.at, reverse=True):
        by_kind.setdefault(name.why, []).append(name)
    return [name for why, those in by_kind.items() if why is not WhyMade.BY_HAND for name in those[keep:]]


def _day(at: datetime, local: LocalTime) -> int:
    return local.day(at - DAY_BEGINS).toordinal()
