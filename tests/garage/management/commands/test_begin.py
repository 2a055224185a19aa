import contextlib
import os
import sqlite3
import subprocess
import sys

import pytest

from garage.models.people import Person
from tests import servers

ASKS = ["--garage", "Quarry Lane", "--mail", "garage@example.com", "--telephone", "01632 960100"]


@pytest.fixture
def data(new_garage):
    return new_garage("sqlite")[0]


def run(data, password):
    command = [sys.executable, "manage.py", "begin", *ASKS]
    environment = {key: value for key, value in os.environ.items() if key != "DATABASE_URL"} | {"DATA": str(data)}
    return subprocess.run(
        command, input=password, env=environment, cwd=servers.ROOT, capture_output=True, text=True, check=False
    )


def rows(data, statement):
    with contextlib.closing(sqlite3.connect(data / "tickover.sqlite3")) as connection:
        return connection.execute(statement).fetchall()


def test_an_empty_garage_gets_its_boss_once(data):
    made = run(data, "ambleford-lane-7\n")
    assert made.returncode == 0, made.stderr
    assert rows(data, "select username, role from garage_person") == [("boss", Person.BOSS)]
    again = run(data, "ambleford-lane-7\n")
    assert again.returncode == 1
    assert "already set up" in again.stderr
    assert "Traceback" not in again.stderr


def test_without_a_password_nothing_is_made_and_one_sentence_says_so(data):
    answer = run(data, "")
    assert answer.returncode == 1
    assert "no password was given" in answer.stderr
    assert "Traceback" not in answer.stderr
    assert rows(data, "select count(*) from garage_person") == [(0,)]
