"""A SQLite database copied while others write, and put in another one's place.

The file runs in WAL mode: a plain copy of it would miss what still stands in the log beside it.
"""

from __future__ import annotations

import contextlib
import os
import shutil
import sqlite3
from pathlib import Path

from django.db import connection

from garage.core.errors import Refused
from garage.running.keys import keep_names

TIMEOUT_S = 20.0  # as the settings have it for everybody else
BESIDE = ("-wal", "-shm", "-journal")  # what SQLite keeps next to its file


class NotSound(Refused):
    """The database itself is damaged: no copy of it can be trusted."""


def database_file() -> Path:
    return Path(connection.settings_dict["NAME"])


def size_bytes() -> int:
    """With the log: the copy has both in one."""
    return sum(path.stat().st_size for path in files())


def files() -> list[Path]:
    """The database's, as far as there are any."""
    return [path for path in (database_file(), *_beside(database_file())) if path.exists()]


def copy(to: Path) -> None:
    """As it is at one moment, by SQLite's own backup (sqlite.org/backup.html), all pages in one step: in steps it would
    begin anew with each write of another process. Readers and writers go on meanwhile.
    """
    os.close(os.open(to, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600))
    try:
        with (
            contextlib.closing(sqlite3.connect(database_file(), timeout=TIMEOUT_S)) as source,
            contextlib.closing(sqlite3.connect(to)) as target,
        ):
            source.backup(target)
            target.execute("PRAGMA journal_mode=DELETE")  # one file that needs no log beside it
        check(to)
    except sqlite3.DatabaseError as error:
        cannot = NotSound if not isinstance(error, sqlite3.OperationalError) else Refused
        raise cannot(f"The database could not be copied: {error}.") from error


def check(path: Path) -> None:
    """Raises Refused for a file that SQLite finds fault with."""
    try:
        with contextlib.closing(sqlite3.connect(path)) as copied:
            said = [row[0] for row in copied.execute("PRAGMA integrity_check(1)")]
    except sqlite3.Error as error:
        said = [str(error)]
    if said != ["ok"]:
        raise NotSound(f"The database is damaged, and so is a copy of it: {said[0]}. Put a backup back.")


def put_in_place(copied: Path) -> None:
    """Nobody may have the old one open. Its log goes with it: it would be played into the new one.

    Raises Refused while the old one is still whole.
    """
    here = database_file()
    beside = here.with_name(f"{here.name}.unfinished")  # DATABASE_URL may name a file on another disk
    try:
        shutil.move(copied, beside)
    except OSError as error:
        beside.unlink(missing_ok=True)
        raise Refused(f"The database could not be put back: {here}: {error.strerror}. Nothing was changed.") from error
    for path in _beside(here):
        path.unlink(missing_ok=True)
    beside.replace(here)
    keep_names(here.parent)


def _beside(path: Path) -> list[Path]:
    return [path.with_name(path.name + ending) for ending in BESIDE]
