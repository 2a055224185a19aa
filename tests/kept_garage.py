"""A garage's folder and database, looked at from outside and worked on by `manage.py`."""

from __future__ import annotations

import contextlib
import json
import lzma
import os
import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import psycopg

ROOT = Path(__file__).resolve().parent.parent
FIRST_EDITION = ROOT / "tests" / "first_edition"
OLD_KEY = "an-old-key-of-an-invented-garage-kept-in-the-tests-0123456789"


@dataclass(frozen=True)
class KeptGarage:
    """database_url: empty for SQLite in the folder."""

    data: Path
    database_url: str = ""

    def run(self, *arguments: str, **variables: str) -> subprocess.CompletedProcess[str]:
        named = ("DATABASE_URL", "BROKER_URL", "SECRET_KEY")
        environment = {key: value for key, value in os.environ.items() if key not in named}
        environment |= {"DATA": str(self.data)} | ({"DATABASE_URL": self.database_url} if self.database_url else {})
        command = [sys.executable, "manage.py", *arguments]
        return subprocess.run(
            command, cwd=ROOT, env=environment | variables, capture_output=True, text=True, check=False
        )

    def manage(self, *arguments: str, **variables: str) -> str:
        """What it says; raises with its words when it fails."""
        done = self.run(*arguments, **variables)
        if done.returncode:
            raise AssertionError(f"manage.py {arguments[0]} ended with {done.returncode}:\n{done.stdout}{done.stderr}")
        return done.stdout

    def refused(self, *arguments: str, **variables: str) -> str:
        """The one line that it says instead of doing it."""
        done = self.run(*arguments, **variables)
        assert done.returncode == 1, done.stdout
        assert "Traceback" not in done.stderr, done.stderr
        lines = done.stderr.strip().splitlines()
        assert len(lines) == 1, lines
        return lines[0]

    def shell(self, code: str, **variables: str) -> str:
        return self.manage("shell", "--no-imports", "--command", code, **variables)

    @contextlib.contextmanager
    def connected(self) -> Iterator[psycopg.Connection | sqlite3.Connection]:
        """A connection of its own; what it changed is committed at the end."""
        if self.database_url:
            with psycopg.connect(self.database_url) as connection:
                yield connection
            return
        connection = sqlite3.connect(self.data / "tickover.sqlite3", timeout=60)
        with contextlib.closing(connection), connection:
            yield connection

    def rows_of_every_table(self) -> dict[str, list[str]]:
        with self.connected() as connection:
            return {
                table: sorted(map(repr, connection.execute(f'select * from "{table}"').fetchall()))  # noqa: S608
                for table in self._tables(connection)
            }

    def triggers(self) -> set[str]:
        """What keeps rows from being changed."""
        asked = "select name from sqlite_master where type = 'trigger'"
        if self.database_url:
            asked = "select trigger_name from information_schema.triggers"
        with self.connected() as connection:
            return {name for (name,) in connection.execute(asked).fetchall()}

    def media(self) -> dict[str, bytes]:
        folder = self.data / "media"
        return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}

    def backups(self) -> list[str]:
        return sorted(path.name for path in (self.data / "backups").glob("*") if path.name != ".lock")

    def _tables(self, connection: psycopg.Connection | sqlite3.Connection) -> list[str]:
        asked = "select name from sqlite_master where type = 'table' and name not like 'sqlite_%'"
        if self.database_url:
            asked = "select tablename from pg_tables where schemaname = 'public'"
        return sorted(name for (name,) in connection.execute(asked).fetchall())


def of_the_first_edition(data: Path, database_url: str = "") -> KeptGarage:
    """As that edition left folder and database. database_url: of an empty one. The paper of invoice 2 is not kept."""
    kept = KeptGarage(data, database_url)
    (data / "secret.key").write_text(OLD_KEY)
    paper = data / "media" / "invoices" / "2026" / "invoice-1.pdf"
    paper.parent.mkdir(parents=True)
    shutil.copy(FIRST_EDITION / paper.name, paper)
    kind = "postgresql" if database_url else "sqlite"
    statements = lzma.decompress((FIRST_EDITION / f"{kind}.sql.xz").read_bytes()).decode()
    if database_url:
        load = ["psql", "--no-psqlrc", "--quiet", "--set=ON_ERROR_STOP=1", "--dbname", database_url]
        subprocess.run(load, input=statements, stdout=subprocess.DEVNULL, text=True, check=True)
    else:
        with contextlib.closing(sqlite3.connect(data / "tickover.sqlite3")) as connection:
            connection.executescript(statements)
    return kept


def told() -> dict:
    """What that edition itself read of its visits, owners and invoices (tests/first_edition/make.py)."""
    return json.loads((FIRST_EDITION / "told.json").read_text(encoding="utf-8"))
