"""Clips that stand come into the flat with all they say; of what was heard only its writing changes."""

import json
import os
import subprocess
import sys
from importlib import import_module
from pathlib import Path

import pytest

from diagnostics.hearing.core.heard import HeardReason, from_json

ROOT = Path(__file__).resolve().parents[4]
migration = import_module("diagnostics.hearing.migrations.0002_heard")


@pytest.fixture(scope="module")
def brought_up_to_date(tmp_path_factory):
    environment = os.environ | {
        "DATA": str(tmp_path_factory.mktemp("data")),
        "DJANGO_SETTINGS_MODULE": "garage.settings",
        "DATABASE_URL": f"sqlite:///{tmp_path_factory.mktemp('old') / 'old.sqlite3'}",
    }
    command = [sys.executable, "-m", "tests.diagnostics.hearing.migrations.old_database"]
    done = subprocess.run(command, cwd=ROOT, env=environment, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout.splitlines()[-1])


def test_an_old_database_keeps_its_clips_and_what_was_heard_in_them(brought_up_to_date):
    of_its_visit, names, states, results = zip(*brought_up_to_date, strict=True)
    assert of_its_visit == (True, True, True)
    assert set(names) == {"rev-out.m4a"}
    assert states == ("heard", "heard", "waits")
    failing, late = (from_json(result) for result in results[:2])
    assert (failing.verdict, failing.ceiling_rpm, failing.reason) == ("breaks-down", 6100.0, HeardReason.FAILS)
    assert (failing.rpm, failing.held, failing.drop_outs) == ((1500.0, None), (1.5, 6.0), ((2.0, 2.1),))
    assert (failing.outline, failing.fires_per_turn) == ((0.5, 1.0), 1.0)
    assert (late.verdict, late.held, late.reason) == ("unclear", None, HeardReason.BEGINS_LATE)
    assert results[2] is None


def test_every_reason_has_the_sentence_it_was_kept_as():
    newer = {HeardReason.THROWN_BACK, HeardReason.NO_TICKOVER, HeardReason.NO_CLIMB, HeardReason.LONG_HOLD}
    kept = set(migration.REASONS.values()) | set(migration.BY_VERDICT.values())
    assert kept == set(HeardReason) - newer


@pytest.mark.parametrize(("verdict", "reason"), migration.BY_VERDICT.items())
def test_a_sentence_of_an_older_release_still_says_its_verdict(verdict, reason):
    old = {"clip": "a.wav", "verdict": verdict, "reason": "It was said in other words then."}
    assert migration.converted(old) == {"version": 1, "verdict": verdict, "reason": reason, "outline": []}
