"""The folder of backups: what is in it, what may go, and the sentence that the last daily one failed with."""

from __future__ import annotations

import contextlib
import fcntl
import json
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from django.conf import settings

from garage.core.backups.kept import BackupName, WhyMade, read_name, superfluous
from garage.core.errors import Refused

UNFINISHED = ".unfinished"  # ends the name of what is still written, or was cut short
FAILURE = "backup-failed.json"  # under DATA: the folder of backups may be what is away


@dataclass(frozen=True)
class BackupFile:
    name: BackupName
    size_bytes: int


@dataclass(frozen=True)
class BackupFailure:
    at: datetime
    sentence: str


def backups() -> list[BackupFile]:
    """The newest first. Empty while there is no folder."""
    found = []
    with contextlib.suppress(OSError):
        for path in settings.BACKUPS.iterdir():
            name = read_name(path.name)
            if name:
                found.append(BackupFile(name, path.stat().st_size))
    return sorted(found, key=lambda file: file.name.at, reverse=True)


def last_good() -> BackupFile | None:
    """The newest one that holds what the garage has gone on with: not what a restore has put away."""
    return next((file for file in backups() if file.name.why is not WhyMade.BEFORE_RESTORE), None)


@contextlib.contextmanager
def one_at_a_time() -> Iterator[Path]:
    """The folder, for the one who makes a backup. What another one left half made is gone then."""
    folder: Path = settings.BACKUPS
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    with (folder / ".lock").open("w") as lock:
        try:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError as error:
            raise Refused("A backup is being made just now. Wait until it is there.") from error
        for path in folder.glob(f"*{UNFINISHED}"):
            path.unlink()
        yield folder


def drop_superfluous() -> None:
    if not settings.BACKUPS_KEPT:  # somebody else sees to backups: none is made or dropped by itself
        return
    for name in superfluous((file.name for file in backups()), keep=settings.BACKUPS_KEPT):
        (settings.BACKUPS / str(name)).unlink(missing_ok=True)


def failure() -> BackupFailure | None:
    """Of the last daily backup; None once one succeeded."""
    with contextlib.suppress(OSError, ValueError, KeyError, TypeError):
        given = json.loads((settings.DATA / FAILURE).read_text(encoding="utf-8"))
        return BackupFailure(datetime.fromisoformat(given["at"]), str(given["sentence"]))
    return None


def note_failure(sentence: str, *, now: datetime) -> None:
    """On a full disk this fails too: the boss then reads that the last backup is old."""
    with contextlib.suppress(OSError):
        said = json.dumps({"at": now.isoformat(), "sentence": sentence})
        (settings.DATA / FAILURE).write_text(said, encoding="utf-8")


def forget_failure() -> None:
    (settings.DATA / FAILURE).unlink(missing_ok=True)
