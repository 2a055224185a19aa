"""The supervisor behind `make run`, started for real: it starts all or says why not, and leaves nothing behind."""

import contextlib
import os
import signal
import socket
import subprocess
import sys
import time
from http.client import HTTPException
from pathlib import Path

import pytest

from garage.running import running_lock
from tests import servers
from tests.processes import children, free_port, still_running

pytestmark = pytest.mark.long(minutes=2)

END_LIMIT_S = 60.0  # s; only so that a test that fails ends


def serve(*options: str, **variables: str) -> subprocess.CompletedProcess:
    """What the supervisor says when it cannot start."""
    command = [sys.executable, "-m", "garage.running.serve", *options]
    return subprocess.run(
        command,
        cwd=servers.ROOT,
        env=os.environ | variables,
        capture_output=True,
        text=True,
        timeout=END_LIMIT_S,
        check=False,
    )


def wait_until_ended(processes: set[int]) -> set[int]:
    give_up_s = time.monotonic() + END_LIMIT_S
    while still_running(processes) and time.monotonic() < give_up_s:
        time.sleep(0.1)
    return still_running(processes)


def all_processes(live: servers.LiveTickover) -> set[int]:
    """The supervisor, the web server and its two, the worker with its three and its beat, the one for
    clips with its one: some come late.
    """
    give_up_s = time.monotonic() + END_LIMIT_S
    while len(processes := live.processes()) < 11:
        assert time.monotonic() < give_up_s, f"only {len(processes)} processes; the server said {live.said}"
        time.sleep(0.1)
    return processes


def test_a_port_in_use_is_one_clear_sentence(tmp_path):
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = str(other.getsockname()[1])
        done = serve("--port", port, "--data", str(tmp_path))
    assert done.returncode == 1
    assert done.stdout == ""
    assert len(done.stderr.splitlines()) == 1
    assert f"Port {port} on 127.0.0.1 is in use" in done.stderr


@pytest.mark.parametrize(
    ("folder", "says"),
    [("/sys/tickover", "cannot be written to"), (__file__, "cannot be used")],
    ids=["read-only", "a file"],
)
def test_a_folder_that_keeps_nothing_is_one_clear_sentence(folder, says):
    done = serve("--port", str(free_port()), "--data", folder)
    assert done.returncode == 1
    assert len(done.stderr.splitlines()) == 1
    assert says in done.stderr


def test_a_second_garage_on_the_same_folder_is_one_clear_sentence(tmp_path):
    with running_lock.held_meanwhile(tmp_path, says="http://127.0.0.1:8000"):
        done = serve("--port", str(free_port()), "--data", str(tmp_path))
    assert done.returncode == 1
    assert len(done.stderr.splitlines()) == 1
    assert f"Tickover is already running on {tmp_path} (http://127.0.0.1:8000)" in done.stderr
    assert not (tmp_path / "secret.key").exists()


def test_an_emptied_database_beside_an_old_key_does_not_load_the_demo(tmp_path):
    (tmp_path / "secret.key").write_text("an-old-key")
    done = serve("--port", str(free_port()), "--data", str(tmp_path))
    assert done.returncode == 1
    assert f"The database is empty, but {tmp_path} was a garage before: its key is there." in done.stderr
    assert "Traceback" not in done.stderr
    assert not (tmp_path / "demo-log-ins.txt").exists()


def test_a_file_that_is_not_a_database_is_reported_without_a_traceback(tmp_path):
    (tmp_path / "tickover.sqlite3").write_text("a letter to the owner " * 500)
    done = serve("--port", str(free_port()), "--data", str(tmp_path))
    assert done.returncode == 1
    assert "The database cannot be used: file is not a database." in done.stderr
    assert "Traceback" not in done.stderr


def test_a_database_server_that_is_down_is_reported_without_a_traceback(tmp_path):
    nobody = f"postgres://tickover@127.0.0.1:{free_port()}/tickover"
    done = serve("--port", str(free_port()), "--data", str(tmp_path), DATABASE_URL=nobody)
    assert done.returncode == 1
    assert "The database cannot be used: " in done.stderr
    assert "refused" in done.stderr
    assert "Traceback" not in done.stderr


def test_a_second_run_keeps_what_the_first_one_wrote(live_tickover, tmp_path):
    kept = tmp_path / "kept"
    first = live_tickover(data=kept, part="web")
    first.rows("insert into django_session values ('a-key', 'a-value', '2100-01-01')")
    key = (kept / "secret.key").read_text()
    assert first.stop() == 0
    second = live_tickover(data=kept, part="web")
    assert second.rows("select session_data from django_session") == [("a-value",)]
    assert (kept / "secret.key").read_text() == key
    assert not any("Making the database" in line for line in second.said)


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_asked_to_stop_it_ends_all_its_processes_and_reports_no_error(live_tickover, number):
    live = live_tickover()
    processes = all_processes(live)
    live.child.send_signal(number)
    assert live.child.wait(END_LIMIT_S) == 0
    assert still_running(processes) == set()
    assert "Traceback" not in "".join(live.said)
    with socket.socket() as again:
        again.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        again.bind(("127.0.0.1", int(live.base_url.rpartition(":")[2])))


def test_one_that_dies_is_started_again_alone_and_the_pages_stay_up(live_tickover):
    live = live_tickover()
    all_processes(live)
    web_server, worker = _started_as(live, "gunicorn"), _started_as(live, "celery")
    os.kill(worker, signal.SIGKILL)
    _wait_for_said(live, "The worker stopped on its own (status -9); it is started again in 1 s.")
    assert "Tickover" in live.get("/")
    assert len(all_processes(live)) == 11
    assert _started_as(live, "gunicorn") == web_server
    os.kill(web_server, signal.SIGKILL)
    _wait_for_said(live, "The web server stopped on its own (status -9); it is started again in 1 s.")
    _wait_for_page(live)
    assert live.stop() == 0


def test_asked_twice_it_kills_processes_that_do_not_end_on_their_own(live_tickover):
    live = live_tickover(grace_s=3600)
    processes = all_processes(live)
    web_server, worker = _started_as(live, "gunicorn"), _started_as(live, "celery")
    os.kill(worker, signal.SIGSTOP)  # frozen, it hears nothing but the end
    try:
        live.child.terminate()
        assert wait_until_ended({web_server}) == set()
        assert still_running({live.child.pid, worker}) == {live.child.pid, worker}
        live.child.terminate()
        assert live.child.wait(END_LIMIT_S) == 0
        assert wait_until_ended(processes) == set()
    finally:
        with contextlib.suppress(ProcessLookupError):
            os.killpg(worker, signal.SIGKILL)


def test_nothing_outlives_a_supervisor_that_is_killed(live_tickover):
    live = live_tickover()
    processes = all_processes(live)
    live.child.kill()
    assert wait_until_ended(processes) == set()


def test_the_same_garage_runs_on_postgresql_and_redis(live_tickover):
    live = live_tickover(database="postgresql", broker="redis")
    assert live.rows("select count(*) from django_session") == [(0,)]
    assert not (live.data / "tickover.sqlite3").exists()
    assert list((live.data / "broker" / "tasks").iterdir()) == []


def _wait_for_said(live: servers.LiveTickover, sentence: str) -> None:
    give_up_s = time.monotonic() + END_LIMIT_S
    while not any(sentence in line for line in live.said):
        assert time.monotonic() < give_up_s, f"it said {live.said}"
        time.sleep(0.05)


def _wait_for_page(live: servers.LiveTickover) -> None:
    give_up_s = time.monotonic() + END_LIMIT_S
    while True:
        with contextlib.suppress(OSError, HTTPException):  # refused, or cut off while it dies
            assert "Tickover" in live.get("/")
            return
        assert time.monotonic() < give_up_s
        time.sleep(0.1)


def _started_as(live: servers.LiveTickover, module: str) -> int:
    """The number of the supervisor's first child that was started with python -m module."""
    for number in sorted(children(live.child.pid)):
        command = Path(f"/proc/{number}/cmdline").read_bytes()  # or the title that the module gave itself
        if module.encode() in command:
            return number
    raise AssertionError(f"no {module} among the processes")
