"""Whether what a page needs is there: database with all its migrations, broker, folder of data."""

from __future__ import annotations

import logging
import tempfile
from collections.abc import Callable
from pathlib import Path

from celery import current_app
from django.db import connection
from django.db.migrations.executor import MigrationExecutor

BROKER_LIMIT_S = 2  # s; whoever asks may wait as long for the whole answer as for a page

log = logging.getLogger(__name__)
_migrated: set[str] = set()  # databases seen with all of this program's migrations: they are not taken back


def looked_at(data: Path) -> dict[str, bool]:
    """By name. Why something is not there is for the log, not for whoever asks."""
    looks: dict[str, Callable[[], None]] = {
        "database": _database,
        "migrations": _migrations,
        "broker": _broker,
        "data": lambda: _data(data),
    }
    return {name: _holds(name, look) for name, look in looks.items()}


def _holds(name: str, look: Callable[[], None]) -> bool:
    try:
        look()
    except Exception as trouble:  # noqa: BLE001  (whatever it is, it is not ready)
        log.warning("Not ready, %s: %s", name, type(trouble).__name__)
        return False
    return True


def _database() -> None:
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1")


def _migrations() -> None:
    name = str(connection.settings_dict["NAME"])
    if name in _migrated:
        return
    executor = MigrationExecutor(connection)
    if executor.migration_plan(executor.loader.graph.leaf_nodes()):
        raise LookupError("migrations wait")
    _migrated.add(name)


def _broker() -> None:
    """A broker in a folder below the data is made by whoever sends first, and lies on the same disk."""
    with current_app.connection_for_write() as broker:
        broker.ensure_connection(max_retries=1, timeout=BROKER_LIMIT_S)


def _data(folder: Path) -> None:
    with tempfile.TemporaryFile(dir=folder) as there:
        there.write(b"written")
