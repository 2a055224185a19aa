"""`manage.py plan` as it is started: no database, no settings of the shop, one answer a line."""

import json
import subprocess
import sys

from garage.core.planning.plan_lines import answer
from tests.garage.core.planning.test_plan_lines import a_line


def run(root, *lines: object, file: str = "-") -> tuple[list[dict], int, str]:
    sent = "\n".join(one if isinstance(one, str) else json.dumps(one) for one in lines)
    done = subprocess.run(
        [sys.executable, "manage.py", "plan", file],
        input=sent,
        capture_output=True,
        text=True,
        cwd=root,
        timeout=60,
        check=False,
    )
    return [json.loads(line) for line in done.stdout.splitlines()], done.returncode, done.stderr


def test_each_line_is_answered_in_its_place_and_a_bad_one_does_not_stop_the_stream(pytestconfig):
    bad = a_line() | {"case": "b", "rollers": "two"}
    told, status, complaints = run(pytestconfig.rootpath, a_line() | {"case": "a"}, "", bad, "{", a_line())
    assert complaints == ""
    assert status == 1
    assert told[0] == {"case": "a"} | answer(a_line())
    assert told[1]["error"] == "rollers is 'two'; allowed is a whole number from 0 to 50."
    assert (told[1]["line"], told[1]["case"]) == (3, "b")
    assert told[2]["line"] == 4
    assert told[3] == answer(a_line())


def test_good_lines_end_with_status_0_and_a_missing_file_with_1(pytestconfig):
    told, status, _ = run(pytestconfig.rootpath, a_line())
    assert (len(told), status) == (1, 0)
    told, status, _ = run(pytestconfig.rootpath, file="no-such-file.jsonl")
    assert (told[0]["line"], status) == (0, 1)
