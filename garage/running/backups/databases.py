"""What backup and restore ask of a database, of either kind."""

from __future__ import annotations

from pathlib import Path

from django.conf import settings
from django.db import DatabaseError, connection, connections
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder

from garage.core.errors import Refused
from garage.running.backups import postgresql, sqlite


def is_sqlite() -> bool:
    return connection.vendor == "sqlite"


def kind_here() -> str:
    """As a manifest names it."""
    return "sqlite" if is_sqlite() else "postgresql"


def migrations_here() -> tuple[str, ...]:
    """Those that the database has; none if it has no tables. Raises Refused for a database that cannot be used."""
    try:
        return tuple(sorted(f"{room}.{name}" for room, name in MigrationRecorder(connection).applied_migrations()))
    except DatabaseError as error:
        lines = str(error).strip().splitlines() or ["no reason given"]
        raise Refused(f"The database cannot be used: {lines[0].rstrip('.')}.") from error


def refuse_without_one() -> None:
    """SQLite would make an empty one by being asked."""
    if (is_sqlite() and not sqlite.database_file().exists()) or not migrations_here():
        raise Refused(f"There is no garage in {settings.DATA}: its database is empty.")


def migrations_known() -> set[str]:
    """Those that this edition can make, and those that it would have made before they were joined into one."""
    loader = MigrationLoader(None, ignore_no_migrations=True)
    joined = {key for migration in loader.disk_migrations.values() for key in migration.replaces}
    return {f"{room}.{name}" for room, name in {*loader.disk_migrations, *joined}}


def size_bytes() -> int:
    return sqlite.size_bytes() if is_sqlite() else postgresql.size_bytes()


def copy(to: Path) -> None:
    return sqlite.copy(to) if is_sqlite() else postgresql.copy(to)


def check(path: Path) -> None:
    return sqlite.check(path) if is_sqlite() else postgresql.check(path)


def put_in_place(copied: Path, *, folder: Path) -> None:
    """Own connections are closed first: they would go on with what is gone."""
    connections.close_all()
    if is_sqlite():
        sqlite.put_in_place(copied)
    else:
        postgresql.put_in_place(copied, folder=folder)
