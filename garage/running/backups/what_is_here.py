"""What a restore would take the place of."""

from __future__ import annotations

import shutil
from datetime import UTC, datetime
from enum import Enum
from pathlib import Path

from django.conf import settings
from django.db import DatabaseError, connection, connections

from garage.running.backups import databases, sqlite


class WhatIsHere(Enum):
    """UNREADABLE: a SQLite file that is damaged. A database server that cannot be used is Refused instead."""

    NOTHING, GARAGE, UNREADABLE = "nothing", "a garage", "unreadable"


def look() -> WhatIsHere:
    """Nothing: no shop, nobody who works there, and no media. Raises Refused for a database that cannot be asked."""
    if databases.is_sqlite() and not sqlite.database_file().exists():
        return _by_media()
    try:
        is_empty = not any(_has_rows(table) for table in ("garage_shop", "garage_person"))
    except DatabaseError:
        if not databases.is_sqlite():
            databases.migrations_here()  # raises it in a sentence
        return WhatIsHere.UNREADABLE
    return _by_media() if is_empty else WhatIsHere.GARAGE


def keep_unreadable(*, now: datetime) -> Path:
    """The database's files as they are, for somebody who may still get something out of them."""
    connections.close_all()
    folder = settings.BACKUPS / f"unreadable-{now.astimezone(UTC):%Y-%m-%d-%H%M%S}"
    folder.mkdir(mode=0o700, parents=True)
    for path in sqlite.files():
        shutil.copy2(path, folder)
    shutil.copytree(settings.MEDIA_ROOT, folder / "media", dirs_exist_ok=True)
    return folder


def _by_media() -> WhatIsHere:
    media = Path(settings.MEDIA_ROOT)
    has_files = media.is_dir() and any(path.is_file() for path in media.rglob("*"))
    return WhatIsHere.GARAGE if has_files else WhatIsHere.NOTHING


def _has_rows(table: str) -> bool:
    """By plain SQL: the tables may be those of another edition."""
    if table not in connection.introspection.table_names():
        return False
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT 1 FROM {table} LIMIT 1")  # noqa: S608  (our own names)
        return cursor.fetchone() is not None
