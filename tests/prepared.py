"""What many tests start from, made once in a run however many programs run its tests, and copied for each."""

from __future__ import annotations

import fcntl
import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

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
    """folder: may be there already, but empty."""
    return shutil.copytree(kept, folder, dirs_exist_ok=True)


def prepare(data: Path, database_url: str = "") -> None:
    """Leaves folder and database as the first start of a garage without a demo does."""
    manage(data, "prepare", "--demo", "never", database_url=database_url)


def manage(data: Path, *arguments: str, database_url: str = "") -> str:
    """What `manage.py` says on that garage; raises with its words when it fails."""
    environment = {key: value for key, value in os.environ.items() if key not in ("DATABASE_URL", "BROKER_URL")}
    environment |= {"DATA": str(data)} | ({"DATABASE_URL": database_url} if database_url else {})
    command = [sys.executable, "manage.py", *arguments]
    done = subprocess.run(command, cwd=ROOT, env=environment, capture_output=True, text=True, check=False)
    if done.returncode:
        raise AssertionError(f"manage.py {arguments[0]} ended with {done.returncode}:\n{done.stdout}{done.stderr}")
    return done.stdout
