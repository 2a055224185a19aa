"""Several workers look for reminders at the same moment, on both databases: each owner is written to once."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

pytestmark = pytest.mark.long

WORKERS, VISITS = 4, 6
ROOT = Path(__file__).resolve().parents[2]
TEN = "datetime(2026, 1, 15, 10, tzinfo=UTC)"

SET_UP = f"""
from datetime import UTC, datetime
from tests.factories import garage
garage.shop()
for _ in range({VISITS}):
    garage.visit(starts_at={TEN})
"""
LOOK = f"""
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path
from jobs.changes import reminders
folder = Path({{folder!r}})
(folder / "ready-{{name}}").touch()
while not (folder / "go").exists():
    time.sleep(0.002)
reminders.remind_all(now={TEN} - timedelta(hours=72))
"""
COUNT = """
from garage.models.messages import Message
from garage.models.reminders import Reminded
print("COUNTED", Message.objects.count(), Message.objects.values("visit").distinct().count(), Reminded.objects.count())
"""


def program(env: dict[str, str], code: str) -> subprocess.Popen[str]:
    command = [sys.executable, "manage.py", "shell", "--no-imports", "-c", code]
    return subprocess.Popen(command, cwd=ROOT, env=env, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)


def done(started: subprocess.Popen[str]) -> str:
    said, trouble = started.communicate(timeout=120)
    assert started.returncode == 0, trouble
    return said


@pytest.mark.parametrize("kind", ["sqlite", "postgresql"])
def test_each_owner_is_reminded_once_when_several_workers_look_at_once(kind, tmp_path, new_garage):
    data, database_url = new_garage(kind)
    database_url = database_url or f"sqlite:///{data / 'tickover.sqlite3'}"
    env = os.environ | {"DATABASE_URL": database_url, "DATA": str(data), "BROKER_URL": "filesystem://"}
    done(program(env, SET_UP))
    workers = [program(env, LOOK.format(folder=str(tmp_path), name=name)) for name in range(WORKERS)]
    try:
        until = time.monotonic() + 120
        while len(list(tmp_path.glob("ready-*"))) < WORKERS:
            assert time.monotonic() < until, "the workers did not get ready"
            time.sleep(0.02)
        (tmp_path / "go").touch()
        for worker in workers:
            done(worker)
    finally:
        for worker in workers:
            worker.kill()
    assert f"COUNTED {VISITS} {VISITS} {VISITS}" in done(program(env, COUNT))
