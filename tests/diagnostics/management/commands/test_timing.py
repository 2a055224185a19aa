"""`manage.py timing` as it is started: a process, bytes in, bytes out, an exit status."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from django.core.management import call_command

ROOT = Path(__file__).resolve().parents[4]


def started(*arguments, given=b"", **environment):
    return subprocess.run(
        [sys.executable, "manage.py", "timing", *arguments],
        cwd=ROOT,
        input=given,
        capture_output=True,
        check=False,
        env=os.environ | environment,
    )


def test_a_stream_is_answered_in_order_with_its_errors_in_place(tmp_path):
    given = (
        b'\xef\xbb\xbf{"ask":"piston","stroke_mm":54,"rod_mm":110,"btdc_deg":18,"case":"a"}\n\n'
        b'{"ask":"strobe","spec_btdc":17,"readings":[[9000,17.9],[1400,16.9]],"case":"b"}\n'
        b'{"ask":"strobe","spec_btdc":NaN,"case":"c"}\n'
        b'{"ask":"packer","pickup_mm":12,"magnet_mm":13.1,"packers_mm":[1]}\n'
    )
    unwritable = tmp_path / "absent" / "data"
    done = started("-", given=given, DATA=str(unwritable))
    first, second, third, fourth = [json.loads(line) for line in done.stdout.splitlines()]
    assert (first["case"], round(first["btdc_mm"], 4)) == ("a", 1.6384)  # recomputed outside the project
    assert (second["case"], second["verdict"], second["drift_deg"]) == ("b", "in-spec", 1.0)
    assert (third["case"], third["line"]) == ("c", 4)
    assert "spec_btdc" in third["error"]
    assert fourth["stack_mm"] == [1.0]
    assert (done.returncode, done.stderr) == (1, b"")
    assert not unwritable.exists()


def test_all_answered_is_status_0_and_a_file_is_read_like_a_stream(tmp_path):
    (tmp_path / "asks.jsonl").write_text('{"ask":"piston","stroke_mm":54,"rod_mm":110,"btdc_mm":2}')
    done = started(str(tmp_path / "asks.jsonl"))
    assert round(json.loads(done.stdout)["btdc_deg"], 3) == 19.916  # recomputed outside the project
    assert (done.returncode, done.stderr) == (0, b"")


def test_a_directory_is_one_error_object_with_line_0(tmp_path):
    done = started(str(tmp_path))
    assert json.loads(done.stdout)["line"] == 0
    assert (done.returncode, done.stderr) == (1, b"")


def test_a_reader_that_goes_away_gets_no_traceback():
    given = b'{"ask":"piston","stroke_mm":54,"rod_mm":110,"btdc_deg":18}\n' * 20000
    read_end, write_end = os.pipe()
    os.close(read_end)
    done = subprocess.run(
        [sys.executable, "manage.py", "timing", "-"],
        cwd=ROOT,
        input=given,
        stdout=write_end,
        stderr=subprocess.PIPE,
        check=False,
    )
    os.close(write_end)
    assert (done.returncode, done.stderr) == (1, b"")


def test_within_one_process_an_error_ends_the_command_with_status_1(tmp_path, capsys):
    (tmp_path / "asks.jsonl").write_text('{"ask":"colour"}')
    with pytest.raises(SystemExit) as ended:
        call_command("timing", str(tmp_path / "asks.jsonl"))
    assert ended.value.code == 1
    assert json.loads(capsys.readouterr().out)["error"] == "ask is 'colour'; allowed is piston, strobe or packer."
