"""`--help` of the four batch commands runs anywhere and names every key that a command reads or writes."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from collections.abc import Iterator
from typing import Any

import pytest
from django.core.management import load_command_class

from diagnostics.core.findings import read_case
from diagnostics.core.timing.timing_lines import answer_line
from diagnostics.hearing.core.heard_words import listen_line
from diagnostics.reads.bank import the_bank
from garage.core.planning.plan_lines import day_from
from tests.factories.diagnostics import heard
from tests.golden.kept import golden
from tests.rules.tree import ROOT

APPS = {"assess": "diagnostics", "listen": "diagnostics.hearing", "plan": "garage", "timing": "diagnostics"}
CASE = {
    "case": "a",
    "booked": "set-up",
    "machine": {"fires_per_turn": 1},
    "answers": {"trouble": "none"},
    "heard": {"verdict": "unclear", "confidence": 1},
    "costs": {"call": 600},
}
STEP = {"at": "bench", "minutes": 10, "began": "08:00", "by": "p1", "ended": "08:10", "pin": {"by": "p1"}}
PLACED = {"job": "1", "step": 0, "at": "bench", "station": 1, "by": "p1", "begin": "08:00", "end": "08:10"}
DAY = {
    "day": "2027-03-10",
    "now": "09:00",
    "rollers": 1,
    "benches": 1,
    "people": [{"id": "p1", "from": "08:00", "to": "17:00", "skills": ["bench"]}],
    "quiet": {"rollers": []},
    "standing": [PLACED],
    "jobs": [{"id": "1", "here_from": "08:00", "worth": 1, "steps": [STEP]}],
}
ENGINE = {"stroke_mm": 58, "rod_mm": 116, "flywheel_mm": 112}
READINGS = {"spec_btdc": 22, "readings": [[1350, 22], [8800, 21]]}
QUESTIONS = (
    {"ask": "piston", "btdc_deg": 22, **ENGINE},
    {"ask": "strobe", "curve": "retarding", "retards_deg": 4, **READINGS},
    {"ask": "strobe", "curve": "advancing", "advances_deg": 4, **READINGS},
    {"ask": "packer", "pickup_mm": 12, "magnet_mm": 12.9, "packers_mm": [0.8]},
)


class Looked(dict):
    """An object of JSON, and those in it, that note each key that is looked for."""

    def __init__(self, values: dict[str, Any], keys: set[str]) -> None:
        super().__init__({key: _looked(value, keys) for key, value in values.items()})
        self.keys_looked_for = keys

    def get(self, key: str, default: Any = None) -> Any:
        self.keys_looked_for.add(key)
        return super().get(key, default)


def _looked(value: Any, keys: set[str]) -> Any:
    if isinstance(value, dict):
        return Looked(value, keys)
    return [_looked(one, keys) for one in value] if isinstance(value, list) else value


def keys_read(command: str) -> set[str]:
    keys: set[str] = set()
    if command == "assess":
        read_case(the_bank(), Looked(CASE, keys))
    elif command == "plan":
        day_from(Looked(DAY, keys))
    else:
        for question in QUESTIONS:
            answer_line(Looked(question, keys))
    return keys


def keys_of(value: Any) -> Iterator[str]:
    if isinstance(value, dict):
        yield from value
    for inside in value.values() if isinstance(value, dict) else value if isinstance(value, list) else ():
        yield from keys_of(inside)


def manual(command: str) -> str:
    return load_command_class(APPS[command], command).create_parser("manage.py", command).format_help()


def words(text: str) -> set[str]:
    return set(re.findall(r"[\w-]*\w", text))


@pytest.mark.parametrize("command", APPS)
def test_help_is_given_without_a_database_or_a_folder_to_write_in(command):
    nowhere = {"DATA": "/proc/nowhere", "DATABASE_URL": "postgres://nobody@127.0.0.1:1/none"}
    started = [sys.executable, "manage.py", command, "--help"]
    done = subprocess.run(
        started, cwd=ROOT, env={"PATH": os.environ["PATH"], **nowhere}, capture_output=True, text=True, check=False
    )
    assert (done.returncode, done.stderr) == (0, "")
    assert "WHAT IT DOES" in done.stdout
    assert "WHAT EVERY BATCH COMMAND DOES" in done.stdout


@pytest.mark.parametrize("command", ["assess", "plan", "timing"])
def test_help_names_every_key_that_is_read(command):
    keys = keys_read(command)
    assert len(keys) > 10
    assert keys - words(manual(command)) == set()


@pytest.mark.parametrize("command", ["assess", "plan", "timing"])
def test_help_names_every_key_that_is_written(command):
    written = {key for pair in golden(command) for key in keys_of(json.loads(pair.answered))}
    assert len(written) > 10
    assert written - words(manual(command)) == set()


def test_help_of_listen_names_every_key_that_is_written():
    written = set(keys_of(listen_line("a.m4a", heard()))) | {"error", "line"}
    assert written - words(manual("listen")) == set()


def test_help_of_assess_lists_each_question_of_the_bank_with_its_answers():
    text = manual("assess")
    for question in the_bank().questions:
        listed = re.search(rf"^  {question.id}: {re.escape(question.ask)}.*\n((?: {{6}}.*\n)+)", text, re.MULTILINE)
        assert listed, question.id
        rows = [line.split()[0] for line in listed.group(1).splitlines()]
        assert rows == (list(question.answer_ids) or ["a"])  # "a number from … to …"


def test_help_of_assess_lists_each_fault_of_the_bank_and_leaves_no_blank():
    text = manual("assess")
    for fault in the_bank().faults:
        assert re.search(rf"^      {fault.id} +{re.escape(fault.say)}", text, re.MULTILINE), fault.id
    assert "$" not in text
