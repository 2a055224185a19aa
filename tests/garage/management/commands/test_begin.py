import subprocess
import sys

from garage.models.people import Person
from tests import servers

ASKS = ["--garage", "Quarry Lane", "--mail", "garage@example.com", "--telephone", "01632 960100"]


def run(live, password):
    command = [sys.executable, "manage.py", "begin", *ASKS]
    return subprocess.run(
        command, input=password, env=live.environment, cwd=servers.ROOT, capture_output=True, text=True, check=False
    )


def test_an_empty_garage_gets_its_boss_once(live_tickover):
    live = live_tickover(demo="never", part="web")
    made = run(live, "ambleford-lane-7\n")
    assert made.returncode == 0, made.stderr
    assert live.rows("select username, role from garage_person") == [("boss", Person.BOSS)]
    again = run(live, "ambleford-lane-7\n")
    assert again.returncode == 1
    assert "begun already" in again.stderr
    assert "Traceback" not in again.stderr


def test_without_a_password_nothing_is_made_and_one_sentence_says_so(live_tickover):
    live = live_tickover(demo="never", part="web")
    answer = run(live, "")
    assert answer.returncode == 1
    assert "no password was given" in answer.stderr
    assert "Traceback" not in answer.stderr
    assert live.rows("select count(*) from garage_person") == [(0,)]
