"""What the boss sees of backups: the last one, and one sentence if that is not as it should be."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from django.conf import settings

from garage.core.backups.kept import is_late
from garage.running.backups.folder import failure, last_good


@dataclass(frozen=True)
class BackupsSeen:
    """last_at: None if there is none. trouble: empty if all is well, and failed_at then is None. are_made: whether any
    is made by itself.
    """

    folder: Path
    are_made: bool
    last_at: datetime | None
    last_size_bytes: int
    trouble: str
    failed_at: datetime | None


def backups_seen(*, now: datetime) -> BackupsSeen:
    last, failed = last_good(), failure()
    last_at, size_bytes = (last.name.at, last.size_bytes) if last else (None, 0)
    are_made = bool(settings.BACKUPS_KEPT)
    trouble = ""
    if failed:
        trouble = f"The last one failed. {failed.sentence}"
    elif are_made and last_at and is_late(last_at, now=now):
        trouble = "None was made for two days. The worker makes them: see what Tickover printed."
    return BackupsSeen(settings.BACKUPS, are_made, last_at, size_bytes, trouble, failed.at if failed else None)
