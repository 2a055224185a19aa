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
running_lock.hold(Path(sys.argv[1]), sys.argv[2].split(), says="http://127.0.0.1:8000")
child = subprocess.Popen([sys.executable, "-c", "import sys; sys.stdin.read()"], stdin=0, pass_fds=running_lock.held())
print("held", flush=True)
child.wait()
"""


@pytest.fixture
def holder(tmp_path):
    """Starts a program that holds the locks of these parts, and has a child that it handed them to."""
    started = []

    def start(parts):
        command = [sys.executable, "-c", HOLD, str(tmp_path), parts]
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


def test_web_server_and_worker_may_be_started_apart(holder, tmp_path):
    holder("web")
    holder("worker")
    assert not is_free(tmp_path)


@pytest.mark.parametrize("part", ["web", "worker"])
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
