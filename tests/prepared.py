"""What many tests start from, made once in a run however many programs run its tests, and copied for each."""

from __future__ import annotations

import contextlib
import fcntl
import os
import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from tempfile import TemporaryDirectory

import psycopg
import pytest

from tests.postgresql import keep_postgresql

PREPARED = "prepared"  # the name of a database

ROOT = Path(__file__).resolve().parent.parent


def once(folders: pytest.TempPathFactory, name: str, make: Callable[[Path], None]) -> Path:
    """The folder of this name that all programs of the run share; the first that asks makes it."""
    own = folders.getbasetemp()
    shared = own.parent if os.environ.get("PYTEST_XDIST_WORKER") else own
    folder = shared / name
    with (shared / f"{name}.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not folder.exists():
            unfinished = shared / f"{name}.unfinished"
            shutil.rmtree(unfinished, ignore_errors=True)
            make(unfinished)
            unfinished.rename(folder)
    return folder


def copied(kept: Path, folder: Path) -> Path:
    """folder: may be there already, but empty. What SQLite lays beside a database for as long as another program reads
    it is left out: nobody writes to what is kept.
    """
    return shutil.copytree(kept, folder, dirs_exist_ok=True, ignore=shutil.ignore_patterns("*-wal", "*-shm"))


def prepare(data: Path, database_url: str = "") -> None:
    """Leaves folder and database as the first start of a garage without a demo does."""
    manage(data, "prepare", "--demo", "never", database_url=database_url)


def prepare_postgresql(kept: Path) -> None:
    """Leaves in kept the folder of a PostgreSQL with a database PREPARED, made as for the first start of a garage."""

    def fill(address: str) -> None:
        with psycopg.connect(f"{address}/postgres", autocommit=True) as server, TemporaryDirectory() as data:
            server.execute(f"create database {PREPARED}")
            prepare(Path(data), f"{address}/{PREPARED}")

    keep_postgresql(kept, fill)


@contextlib.contextmanager
def copied_into_memory(kept: Path) -> Iterator[str]:
    """The name of a copy of that SQLite file in memory, which is there for this program as long as this lasts."""
    name = "file:tests?mode=memory&cache=shared"
    with contextlib.closing(sqlite3.connect(name, uri=True)) as copy:
        with contextlib.closing(sqlite3.connect(kept)) as file:
            file.backup(copy)
        yield name


def manage(data: Path, *arguments: str, database_url: str = "") -> str:
    """What `manage.py` says on that garage; raises with its words when it fails."""
    environment = {key: value for key, value in os.environ.items() if key not in ("DATABASE_URL", "BROKER_URL")}
    environment |= {"DATA": str(data)} | ({"DATABASE_URL": database_url} if database_url else {})
    command = [sys.executable, "manage.py", *arguments]
    done = subprocess.run(command, cwd=ROOT, env=environment, capture_output=True, text=True, check=False)
    if done.returncode:
        raise AssertionError(f"manage.py {arguments[0]} ended with {done.returncode}:\n{done.stdout}{done.stderr}")
    return done.stdout
