"""`manage.py listen` in this edition: an error object a clip, and the rules that all four commands keep."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[4]


def started(*arguments, given=b""):
    done = subprocess.run(
        [sys.executable, "manage.py", "listen", *arguments], cwd=ROOT, input=given, capture_output=True, check=False
    )
    return done, [json.loads(line) for line in done.stdout.splitlines()]


def test_each_clip_gets_an_error_object_in_its_place():
    done, answers = started("a.wav", "b.m4a", "--fires-per-turn", "0.5")
    assert [(answer["clip"], answer["line"]) for answer in answers] == [("a.wav", 1), ("b.m4a", 2)]
    assert all("does not hear clips yet" in answer["error"] for answer in answers)
    assert (done.returncode, done.stderr) == (1, b"")


def test_paths_come_a_line_each_whatever_their_bytes():
    done, answers = started("-", given=b"\xef\xbb\xbfone.wav\r\n\n\xff.wav\n")
    assert [(answer["clip"], answer["line"]) for answer in answers] == [("one.wav", 1), ("\udcff.wav", 2)]
    assert (done.returncode, done.stderr) == (1, b"")


def test_an_empty_list_gives_nothing_and_status_0():
    done, answers = started("-")
    assert (answers, done.returncode, done.stderr) == ([], 0, b"")


@pytest.mark.parametrize("firings", ["nan", "0", "-1", "inf", "many"])
def test_firings_that_cannot_be_are_refused_in_one_sentence(firings):
    done, answers = started("a.wav", "--fires-per-turn", firings)
    assert answers == []
    assert done.returncode == 2
    assert b"allowed is a number above 0" in done.stderr
    assert b"Traceback" not in done.stderr
