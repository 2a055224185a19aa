import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

from garage.running import running_lock
from garage.running.machine import Unfit
from tests.servers import ROOT

HOLD = """
import subprocess, sys
from pathlib import Path
from garage.running import running_lock
running_lock.hold(Path(sys.argv[1]), sys.argv[2].split(), says="http://127.0.0.1:8000", garage=sys.argv[3])
child = subprocess.Popen([sys.executable, "-c", "import sys; sys.stdin.read()"], stdin=0, pass_fds=running_lock.held())
print("held", flush=True)
child.wait()
"""


@pytest.fixture
def holder(tmp_path):
    """Starts a program that holds the locks of these parts, and has a child that it handed them to."""
    started = []

    def start(parts, garage="ours"):
        command = [sys.executable, "-c", HOLD, str(tmp_path), parts, garage]
        child = subprocess.Popen(command, cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)
        started.append(child)
        assert child.stdout.readline() == "held\n"
        return child

    yield start
    for child in started:
        child.kill()
        child.wait()
        for pipe in (child.stdin, child.stdout):
            pipe.close()


def is_free(folder):
    try:
        with running_lock.held_meanwhile(folder, says="a test"):
            return True
    except Unfit:
        return False


def test_a_folder_that_is_held_is_refused_in_one_sentence_that_says_where_it_runs(holder, tmp_path):
    holder("web worker")
    with pytest.raises(Unfit) as found:
        running_lock.hold(tmp_path, ["worker"], says="another")
    assert str(found.value) == (
        f"Tickover is already running on {tmp_path} (http://127.0.0.1:8000); "
        "stop that one first, or choose another folder with DATA=/path."
    )


@pytest.fixture
def also_holds(tmp_path):
    """Takes locks in the test's own process, as a part that is started later would."""
    before = len(running_lock.held())

    def hold(parts, garage="ours", says="http://127.0.0.1:8000"):
        running_lock.hold(tmp_path, parts, says=says, garage=garage)

    yield hold
    for descriptor in running_lock._held[before:]:
        os.close(descriptor)
    del running_lock._held[before:]


def test_each_part_may_be_started_apart_and_several_workers_of_one_garage(holder, also_holds, tmp_path):
    holder("web")
    holder("worker")
    for parts in (["worker"], ["hearing"], ["hearing"], ["beat"]):
        also_holds(parts)
    assert not is_free(tmp_path)


@pytest.mark.parametrize("part", ["web", "beat"])
def test_of_web_server_and_beat_there_is_one(holder, also_holds, part):
    holder(part)
    with pytest.raises(Unfit, match="already running"):
        also_holds([part])


@pytest.mark.parametrize("part", running_lock.EVERY)
@pytest.mark.parametrize(
    "other", [{"garage": "theirs"}, {"says": "http://127.0.0.1:8001"}], ids=["other settings", "another address"]
)
def test_no_part_of_another_garage_starts_on_the_folder(holder, also_holds, part, other):
    holder("hearing")
    with pytest.raises(Unfit, match=r"already running .* \(http://127.0.0.1:8000\); stop that one first"):
        also_holds([part], **other)


def test_another_garage_may_have_the_folder_once_the_first_has_ended(holder, also_holds):
    child = holder("web worker")
    child.stdin.close()
    child.wait()
    also_holds(["web"], garage="theirs", says="http://127.0.0.1:8001")


def test_a_garage_is_told_by_its_address_its_database_and_its_broker_and_no_password_is_kept():
    found = {
        running_lock.which_garage(site_url, {"DATABASE_URL": database, "BROKER_URL": broker, "EMAIL_URL": mail})
        for site_url in ("http://127.0.0.1:8000", "http://127.0.0.1:8001")
        for database in ("", "postgres://garage:hush@db/a")
        for broker in ("", "redis://a")
        for mail in ("", "smtp://a")
    }
    assert len(found) == 8
    assert not any("hush" in each for each in found)


@pytest.mark.parametrize("part", running_lock.EVERY)
def test_a_command_that_needs_the_garage_stopped_is_refused_by_each_part(holder, tmp_path, part):
    holder(part)
    assert not is_free(tmp_path)


def test_what_outlives_a_supervisor_that_was_killed_still_holds_the_folder(holder, tmp_path):
    child = holder("web worker")
    child.kill()
    child.wait()
    assert not is_free(tmp_path)
    child.stdin.close()  # what it had started ends now
    give_up_s = time.monotonic() + 30
    while not is_free(tmp_path):
        assert time.monotonic() < give_up_s
        time.sleep(0.02)


def test_a_folder_is_free_again_after_the_command(tmp_path):
    assert is_free(tmp_path)
    assert is_free(tmp_path)


def test_a_folder_that_cannot_be_written_to_is_one_sentence():
    with pytest.raises(Unfit, match="cannot be"), running_lock.held_meanwhile(Path("/sys"), says=""):
        pass
