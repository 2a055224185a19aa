"""Starts a garage on one machine and stops it again: `make run`, the images and the tests all use it.

It checks Python, port and disk, lets `manage.py prepare` bring the database up to date, starts the web server and two
workers (one for mails, papers and the beat, one for clips), waits until a page answers, starts each again that dies or
hangs, and stops everything on Ctrl-C. It imports no Django, so that a fault of the machine is reported in one sentence
before anything else can fail.
"""

from __future__ import annotations

import argparse
import ctypes
import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import partial
from pathlib import Path

from garage.running import machine, running_lock
from garage.running.measuring.count_files import FOLDER, forget_the_dead
from garage.running.parts import signs
from garage.running.parts.answering import StillAnswers, status_of
from garage.running.parts.keeping import Keeper, RunningPart, Sign, end_groups
from garage.running.parts.readiness import tell_systemd
from garage.running.parts.workers import signs_of, worker_commands

START_LIMIT_S = 90.0  # s from starting the web server until a page must have answered; a slow disk on its first run
GRACE_S = 10.0  # s a child has to finish its current work before it is killed
LOOK_S = 0.1  # s between two checks of the children
WEB_QUIET_S = 300.0  # s without one answer, after which it hangs; a busy machine is no reason
WEB_SERVER = "web server"
ROOT = Path(__file__).resolve().parents[2]
HERE = "127.0.0.1,::1"  # where a proxy in front is by default
PR_SET_PDEATHSIG = 1  # linux/prctl.h: the signal a process gets when its parent dies
LIBC = ctypes.CDLL(None) if sys.platform == "linux" else None  # found before anything forks


class CannotServe(Exception):
    """One sentence for the person who started it."""


@dataclass(frozen=True)
class Choices:
    """What was asked for: host and port to listen on, the data folder, and the address used in links."""

    host: str
    port: int
    data: Path
    site_url: str
    parts: Sequence[str]
    demo: str
    processes: int
    proxy: str


def main(arguments: list[str] | None = None) -> int:
    """The exit status: 0 when it was asked to stop, otherwise 1 with one sentence on standard error."""
    stopping = threading.Event()

    def hear(*_: object) -> None:
        if stopping.is_set():  # asked a second time: stop at once
            end_groups(children.values())
        stopping.set()

    for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
        signal.signal(number, hear)
    children: dict[str, subprocess.Popen[bytes]] = {}
    try:
        choices = _choices(arguments)
        environment = _environment(choices)
        _prepare(choices, environment, stopping)
        if not stopping.is_set():
            _serve(choices, environment, children, stopping)
    except (CannotServe, machine.Unfit) as sentence:
        print(sentence, file=sys.stderr)  # noqa: T201  (a command's own words)
        return 1
    finally:
        stop(children.values())
    return 0


def _choices(arguments: list[str] | None) -> Choices:
    parser = argparse.ArgumentParser(
        prog="python -m garage.running.serve", description="Starts Tickover; Ctrl-C stops it."
    )
    parser.add_argument("--host", default="127.0.0.1", help="address to listen on")
    parser.add_argument("--port", default="8000", help="port to listen on")
    given_data, given_url = os.environ.get("DATA") or str(ROOT / "var"), os.environ.get("SITE_URL", "")
    parser.add_argument("--data", default=given_data, help="folder for database, photos, broker and key (DATA)")
    parser.add_argument("--site-url", default=given_url, help="address of links, if not host and port (SITE_URL)")
    parser.add_argument("--part", choices=tuple(running_lock.PARTS), default="all", help="what to start")
    parser.add_argument("--demo", choices=("first", "never"), default="first", help="load the demo on the first run?")
    parser.add_argument("--processes", type=int, default=2, help="web server processes")
    parser.add_argument("--proxy", default=HERE, help="addresses whose X-Forwarded headers count; * for all")
    given = parser.parse_args(arguments)
    machine.check_python()
    port = machine.port_number(given.port)
    data = Path(given.data).expanduser().resolve()
    parts = running_lock.PARTS[given.part]
    if running_lock.WEB in parts:
        machine.check_port(given.host, port)
    machine.check_folder(data)
    site_url = given.site_url or machine.address(given.host, port)
    running_lock.hold(data, parts, says=site_url, garage=running_lock.which_garage(site_url, os.environ))
    return Choices(given.host, port, data, site_url, parts, given.demo, given.processes, given.proxy)


def _environment(choices: Choices) -> dict[str, str]:
    """The children's environment: this process's own variables plus the choices, named as settings.py reads them."""
    environment = dict(os.environ)
    environment |= {"DATA": str(choices.data), "SITE_URL": choices.site_url, "PYTHONUNBUFFERED": "1"}
    forget_the_dead(choices.data / FOLDER)
    environment.pop("NOTIFY_SOCKET", None)  # to be ready is this process's own to say
    machine.make_secret_key(choices.data, demo=choices.demo)
    return environment


def _prepare(choices: Choices, environment: Mapping[str, str], stopping: threading.Event) -> None:
    """Only one of several parts brings the database up to date, or two would migrate at once."""
    if running_lock.WEB not in choices.parts:
        return
    child = _start([sys.executable, "manage.py", "prepare", "--demo", choices.demo], environment)
    try:
        _wait_until(lambda: child.poll() is not None, stopping)
    finally:
        stop([child])
    if child.returncode and not stopping.is_set():
        raise CannotServe("Not started: see the reason above.")


def _serve(
    choices: Choices,
    environment: Mapping[str, str],
    children: dict[str, subprocess.Popen[bytes]],
    stopping: threading.Event,
) -> None:
    parts = list(_parts(choices, environment))
    for part in parts:
        if stopping.is_set():
            return
        children[part.name] = part.start()
        if part.name == WEB_SERVER:  # the page first: later work can wait a second
            _wait_for_page(choices, children, stopping)
    if running_lock.WEB in choices.parts and not stopping.is_set():
        _greet(choices)
    if not stopping.is_set():
        tell_systemd("READY=1", os.environ)
    keeper = Keeper(
        parts,
        children,
        clock_s=time.monotonic,
        note=lambda name: signs.note_stopped(choices.data, name, at=datetime.now(UTC)),
        say=lambda sentence: print(sentence, file=sys.stderr, flush=True),  # noqa: T201  (a command's own words)
    )
    keeper.keep(stopping, look_s=LOOK_S)


def _parts(choices: Choices, environment: Mapping[str, str]) -> Iterator[RunningPart]:
    """In the order in which they are started."""
    if running_lock.WEB in choices.parts:
        answers = StillAnswers(choices.host, choices.port, choices.site_url)
        start = partial(_start, _web_command(choices), environment)
        yield RunningPart(WEB_SERVER, start, [Sign(answers.count, WEB_QUIET_S)])
    by_file = partial(partial, signs.mark, choices.data)
    for name, command in worker_commands(choices.parts).items():
        given = [Sign(by_file(sign), quiet_limit_s) for sign, quiet_limit_s in signs_of(name, command)]
        yield RunningPart(name, partial(_start, command, environment), given)


def _web_command(choices: Choices) -> list[str]:
    host = f"[{choices.host}]" if ":" in choices.host else choices.host
    # No access log: personal links hold tokens, and tokens are never logged.
    options = {"bind": f"{host}:{choices.port}", "workers": choices.processes, "threads": 8}
    options |= {"worker-class": "garage.running.web.patient_worker.PatientWorker", "worker-connections": 300}
    options |= {"forwarded-allow-ips": choices.proxy, "logger-class": "garage.running.web.web_server_log.WebServerLog"}
    options |= {"log-level": "warning", "graceful-timeout": 5, "timeout": 60, "keep-alive": 5}
    flags = [f"--{name}={value}" for name, value in options.items()]
    return [sys.executable, "-m", "gunicorn", *flags, "--preload", "--no-control-socket", "garage.wsgi:application"]


def _start(command: list[str], environment: Mapping[str, str]) -> subprocess.Popen[bytes]:
    """Runs in its own session, so that Ctrl-C reaches this process alone, which then asks each child in turn."""
    return subprocess.Popen(  # noqa: S603  (our own commands, no shell)
        command,
        cwd=ROOT,
        env=dict(environment),
        stdin=subprocess.DEVNULL,
        start_new_session=True,
        preexec_fn=die_with_parent,
        pass_fds=running_lock.held(),
    )


def die_with_parent() -> None:
    """On Linux a child ends with this process, even if this one is killed."""
    if LIBC is not None:
        LIBC.prctl(PR_SET_PDEATHSIG, signal.SIGTERM)


def _wait_until(is_so: Callable[[], bool], stopping: threading.Event) -> None:
    while not is_so() and not stopping.wait(LOOK_S):
        pass


def _wait_for_page(choices: Choices, children: dict[str, subprocess.Popen[bytes]], stopping: threading.Event) -> None:
    give_up_s = time.monotonic() + START_LIMIT_S
    while not stopping.is_set():
        status = status_of("/", host=choices.host, port=choices.port, site_url=choices.site_url)
        if status and status < 400:
            return
        if status:
            raise CannotServe(f"The front page answers with error {status}; see the reason above.")
        _refuse_fallen(children, stopping)
        if time.monotonic() > give_up_s:
            raise CannotServe(f"No page answered within {START_LIMIT_S:.0f} seconds.")
        stopping.wait(LOOK_S)


def _greet(choices: Choices) -> None:
    lines = [f"Tickover runs at {choices.site_url}/"]
    log_ins = choices.data / "demo-log-ins.txt"
    if log_ins.is_file():
        lines += ["", log_ins.read_text(encoding="utf-8").strip()]
    if os.geteuid() == 0:
        lines += ["", "It runs as root; a user of its own is safer when others can reach it."]
    lines += ["", f"All data is kept in {choices.data}. Ctrl-C stops it."]
    print("\n".join(lines), flush=True)  # noqa: T201  (a command's own words)


def _fallen(children: Mapping[str, subprocess.Popen[bytes]]) -> list[str]:
    return [name for name, child in children.items() if child.poll() is not None]


def _refuse_fallen(children: Mapping[str, subprocess.Popen[bytes]], stopping: threading.Event) -> None:
    for name in _fallen(children):
        if not stopping.is_set():
            raise CannotServe(
                f"The {name} stopped on its own (status {children[name].returncode}), so all of it stops."
            )


def stop(children: Iterable[subprocess.Popen[bytes]]) -> None:
    """Asks all children to stop, waits for each, then kills what is left of their process groups.

    Celery checks for the request only every two seconds, so this takes a while. A second request kills all at once. A
    task that is cut off loses nothing: its row is still due.
    """
    children = list(children)
    for child in children:
        if child.poll() is None:
            child.terminate()
    give_up_s = time.monotonic() + GRACE_S
    while time.monotonic() < give_up_s and any(child.poll() is None for child in children):
        time.sleep(LOOK_S / 2)
    end_groups(children)
    for child in children:
        child.wait()


if __name__ == "__main__":
    sys.exit(main())
