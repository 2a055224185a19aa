"""The command as a process: no database, no writable folder, one line out for each line in, whatever the bytes."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).resolve().parents[4]
GOOD = {"case": "good", "booked": "set-up", "answers": {"trouble": "misfires", "rev_out": "bounces"}}


def run(source: str, given: bytes = b"") -> tuple[list[dict[str, Any]], int]:
    environment = {
        "PATH": os.environ["PATH"],
        "DATA": "/proc/nowhere",
        "DATABASE_URL": "postgres://nobody@127.0.0.1:1/none",
    }
    done = subprocess.run(
        [sys.executable, str(ROOT / "manage.py"), "assess", source],
        input=given,
        capture_output=True,
        env=environment,
        check=False,
    )
    assert b"Traceback" not in done.stderr
    return [json.loads(line) for line in done.stdout.splitlines()], done.returncode


BAD_LINES = {
    "not UTF-8": b'{"case": "\xff"}',
    "not JSON": b"{oops",
    "a list": b"[1, 2]",
    "NaN": b'{"case": "a", "booked": "set-up", "answers": {"strobe_idle": NaN}}',
    "a huge number": b'{"case": "a", "booked": "set-up", "answers": {"strobe_idle": 1e999}}',
    "a number of many digits": b'{"case": "a", "booked": "set-up", "answers": {"strobe_idle": ' + b"9" * 5000 + b"}}",
    "400 degrees": b'{"case": "a", "booked": "set-up", "answers": {"strobe_idle": 400}}',
    "a list where one is allowed": b'{"case": "a", "booked": "set-up", "answers": {"plug": ["tan", "white"]}}',
    "an unknown answer": b'{"case": "a", "booked": "set-up", "answers": {"plug": "green"}}',
    "a nested bomb": b'{"case": "a", "booked": "set-up", "answers": ' + b"[" * 100_000 + b"]" * 100_000 + b"}",
    "five megabytes": b'{"case": "a", "booked": "' + b"x" * 5_000_000 + b'"}',
    "no booking": b'{"case": "a"}',
}


def test_every_bad_line_gives_one_error_line_and_the_stream_goes_on() -> None:
    lines = [line for bad in BAD_LINES.values() for line in (bad, json.dumps(GOOD).encode())]
    out, status = run("-", b"\xef\xbb\xbf" + b"\n\n".join(lines) + b"\n")
    assert status == 1
    assert len(out) == len(lines)
    for place, (name, answer, good) in enumerate(zip(BAD_LINES, out[::2], out[1::2], strict=True)):
        assert answer["line"] == 4 * place + 1, name
        assert 0 < len(answer["error"]) < 400, name
        assert good["route"] == "fix-first", name


def test_an_unknown_answer_names_the_allowed_ones() -> None:
    out, _ = run("-", BAD_LINES["an unknown answer"])
    assert "answers.plug" in out[0]["error"]
    assert "black-wet" in out[0]["error"]
    assert out[0]["case"] == "a"


def test_good_lines_give_status_nought_and_the_same_bytes_again(tmp_path: Path) -> None:
    cases = tmp_path / "cases.jsonl"
    cases.write_text("".join(json.dumps(GOOD | {"case": str(k)}) + "\n" for k in range(20)), encoding="utf-8")
    first, second = run(str(cases)), run(str(cases))
    assert first == second
    assert [answer["case"] for answer in first[0]] == [str(k) for k in range(20)]
    assert first[1] == 0


@pytest.mark.parametrize(("source", "status"), [("/nowhere/cases.jsonl", 1), ("/", 1)])
def test_a_file_that_cannot_be_opened_gives_one_error_at_line_nought(source: str, status: int) -> None:
    out, returned = run(source)
    assert (returned, len(out), out[0]["line"]) == (status, 1, 0)


def test_an_empty_file_gives_nothing_and_status_nought() -> None:
    assert run("-", b"") == ([], 0)
