"""Invoice numbers when several people press the button at once, and some of their transactions fail midway."""

from __future__ import annotations

import contextlib
import os
import sqlite3
import subprocess
import sys
import time
from pathlib import Path

import psycopg
import pytest

pytestmark = pytest.mark.long

PEOPLE, EACH = 6, 5  # programs at once, visits each
ROOT = Path(__file__).resolve().parents[2]

SET_UP = """
from decimal import Decimal
from tests.factories import garage, jobs
by = garage.boss()
for _ in range({count}):
    jobs.part(jobs.closed_card(by=by), price_each=Decimal("4.50"))
from garage.models.visits import Visit
print(*Visit.objects.order_by("number").values_list("number", flat=True))
"""


def environment(database_url: str, data: Path) -> dict[str, str]:
    return os.environ | {"DATABASE_URL": database_url, "DATA": str(data), "BROKER_URL": "filesystem://"}


def manage(env: dict[str, str], *words: str) -> str:
    command = [sys.executable, "manage.py", *words]
    done = subprocess.run(command, cwd=ROOT, env=env, capture_output=True, text=True, timeout=300)
    assert done.returncode == 0, done.stderr
    return done.stdout


def issue_at_once(env: dict[str, str], folder: Path, work: list[list[str]]) -> list[str]:
    """What each program said; all begin at the same moment."""
    programs = [
        subprocess.Popen(
            [sys.executable, "-m", "tests.jobs.issuers", str(folder), str(index), *numbers],
            cwd=ROOT,
            env=env,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        for index, numbers in enumerate(work)
    ]
    try:
        until = time.monotonic() + 120
        while len(list(folder.glob("ready-*"))) < len(work):
            assert time.monotonic() < until, "the programs did not get ready"
            time.sleep(0.02)
        (folder / "go").touch()
        ended = [program.communicate(timeout=120) for program in programs]
    finally:
        for program in programs:
            program.kill()
    assert [program.returncode for program in programs] == [0] * len(work), [said for _, said in ended]
    return [said for said, _ in ended]


def numbers_in(database_url: str) -> list[int]:
    query = "select number from jobs_invoice order by number"
    if database_url.startswith("postgres"):
        with psycopg.connect(database_url) as connection:
            return [number for (number,) in connection.execute(query)]
    with contextlib.closing(sqlite3.connect(database_url.removeprefix("sqlite:///"))) as connection:
        return [number for (number,) in connection.execute(query)]


@pytest.mark.parametrize("kind", ["sqlite", "postgresql"])
def test_numbers_have_no_gap_or_duplicate_when_many_issue_at_once_and_some_fail(kind, tmp_path, new_garage):
    data, database_url = new_garage(kind)
    database_url = database_url or f"sqlite:///{data / 'tickover.sqlite3'}"
    env = environment(database_url, data)
    visits = manage(env, "shell", "-c", SET_UP.format(count=PEOPLE * EACH)).split()[-PEOPLE * EACH :]
    work = [[f"x{visits[index]}", *visits[index::PEOPLE]] for index in range(PEOPLE)]
    said = issue_at_once(env, tmp_path, work)
    assert all("failed x" in line for line in said)  # each lost a number midway once
    assert numbers_in(database_url) == list(range(1, PEOPLE * EACH + 1))
