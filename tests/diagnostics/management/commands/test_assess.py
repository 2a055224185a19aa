"""The command as a process: no database, no writable folder, one line out for each line in, whatever the bytes."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).resolve().parents[4]
GOOD = {"case": "good", "booked": "set-up", "answers": {"trouble": "misfires", "rev_out": "ceiling"}}


def started(root: Path, source: str, given: bytes) -> subprocess.CompletedProcess[bytes]:
    environment = {
        "PATH": os.environ["PATH"],
        "DATA": "/proc/nowhere",
        "DATABASE_URL": "postgres://nobody@127.0.0.1:1/none",
    }
    command = [sys.executable, str(root / "manage.py"), "assess", source]
    done = subprocess.run(command, input=given, capture_output=True, env=environment, cwd=root, check=False)
    assert b"Traceback" not in done.stderr
    return done


def run(source: str, given: bytes = b"") -> tuple[list[dict[str, Any]], int]:
    done = started(ROOT, source, given)
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


SAYS = {
    "NaN": ("answers.strobe_idle", "finite"),
    "a huge number": ("answers.strobe_idle", "from -10 to 60"),
    "a number of many digits": ("answers.strobe_idle", "from -10 to 60"),
    "400 degrees": ("answers.strobe_idle", "400", "from -10 to 60"),
    "a list where one is allowed": ("answers.plug", "one of tan, black-dry, black-wet, white, speckled"),
    "an unknown answer": ("answers.plug", "green", "one of tan, black-dry, black-wet, white, speckled"),
    "a nested bomb": ("nests too deeply",),
    "five megabytes": ("booked", "one of set-up, power-run, bench"),
    "no booking": ("booked", "one of set-up, power-run, bench"),
}


def test_an_error_names_the_field_the_value_found_and_what_is_allowed() -> None:
    out, _ = run("-", b"\n".join(BAD_LINES[name] for name in SAYS))
    for answer, (name, words) in zip(out, SAYS.items(), strict=True):
        assert [word for word in words if word not in answer["error"]] == [], name


def test_good_lines_give_status_0_and_the_same_bytes_again(tmp_path: Path) -> None:
    cases = tmp_path / "cases.jsonl"
    cases.write_text("".join(json.dumps(GOOD | {"case": str(k)}) + "\n" for k in range(20)), encoding="utf-8")
    first, second = run(str(cases)), run(str(cases))
    assert first == second
    assert [answer["case"] for answer in first[0]] == [str(k) for k in range(20)]
    assert first[1] == 0


@pytest.mark.parametrize(("source", "status"), [("/nowhere/cases.jsonl", 1), ("/", 1)])
def test_a_file_that_cannot_be_opened_gives_one_error_at_line_0(source: str, status: int) -> None:
    out, returned = run(source)
    assert (returned, len(out), out[0]["line"]) == (status, 1, 0)


def test_an_empty_file_gives_no_output_and_status_0() -> None:
    assert run("-", b"") == ([], 0)


@pytest.mark.parametrize(
    ("right", "wrong", "path"),
    [
        ("chance = 0.035", "chance = 1.5", "fault.spark-module.chance"),
        ("clears = { clutch-slip = 1.0 }", "clears = { clutch-slap = 1.0 }", "step.belt-cover.clears.clutch-slap"),
        ('[strobe]\nsource = "common practice, no source"', "[strobe]", "strobe.source"),
    ],
)
def test_an_invalid_bank_is_refused_at_start_with_the_keys_full_path(
    tmp_path: Path, right: str, wrong: str, path: str
) -> None:
    for room in ("garage", "diagnostics", "jobs"):
        shutil.copytree(ROOT / room, tmp_path / room, ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copy(ROOT / "manage.py", tmp_path)
    bank = tmp_path / "diagnostics" / "bank" / "second.toml"
    text = bank.read_text(encoding="utf-8")
    assert right in text
    bank.write_text(text.replace(right, wrong, 1), encoding="utf-8")
    done = started(tmp_path, "-", json.dumps(GOOD).encode())
    assert (done.returncode, done.stdout) == (1, b"")
    assert path in done.stderr.decode()
