"""Real servers for tests: Redis and Tickover itself, on free ports, in their own folders, stopped again.

`python -m tests.servers postgresql -- COMMAND` runs a command with DATABASE_URL pointing at a fresh PostgreSQL.
"""

from __future__ import annotations

import contextlib
import os
import signal
import socket
import sqlite3
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from urllib.request import ProxyHandler, build_opener

import psycopg

from garage.running.serve import die_with_parent
from tests.postgresql import new_postgresql_database, postgresql_server
from tests.processes import START_LIMIT_S, descendants, end, free_port
from tests.warm import Warm, Work

ROOT = Path(__file__).resolve().parent.parent


@contextlib.contextmanager
def redis_server() -> Iterator[str]:
    """The address of a Redis of its own that keeps nothing on disk: "redis://127.0.0.1:PORT/0"."""
    port = free_port()
    with tempfile.TemporaryDirectory(prefix="tickover-redis-") as folder:
        options = ["--port", str(port), "--bind", "127.0.0.1", "--save", "", "--appendonly", "no", "--dir", folder]
        child = subprocess.Popen(
            ["redis-server", *options], stdout=subprocess.DEVNULL, start_new_session=True, preexec_fn=die_with_parent
        )
        try:
            wait_for_port(port, child, "redis-server")
            yield f"redis://127.0.0.1:{port}/0"
        finally:
            end(child, signal.SIGTERM)


def wait_for_port(port: int, child: subprocess.Popen, name: str) -> None:
    give_up_s = time.monotonic() + START_LIMIT_S
    while True:
        try:
            socket.create_connection(("127.0.0.1", port), timeout=5).close()
        except OSError as error:
            if child.poll() is not None or time.monotonic() > give_up_s:
                raise RuntimeError(f"{name} does not answer: {error}") from error
            time.sleep(0.05)
        else:
            return


@dataclass
class Garage:
    """A garage's folder and database. database_url: empty if it lies in the folder."""

    data: Path
    environment: dict[str, str]
    database_url: str

    def __post_init__(self) -> None:
        self.warm = Warm(self.environment)

    def manage(self, *arguments: str, typed: str = "") -> str:
        """What `manage.py` says on this garage's own data; raises with its words when it fails."""
        command = [sys.executable, "manage.py", *arguments]
        done = subprocess.run(
            command, cwd=ROOT, env=self.environment, input=typed, capture_output=True, text=True, check=False
        )
        if done.returncode:
            raise AssertionError(f"manage.py {arguments[0]} ended with {done.returncode}:\n{done.stdout}{done.stderr}")
        return done.stdout

    def shell(self, code: str) -> str:
        """What the code prints, run with Django set up on this garage's own database."""
        return self.warm.run(code)

    def begin(self, code: str) -> Work:
        """The same code, which goes on beside the test until it comes to its end or is killed."""
        return self.warm.begin(code)

    def at_once(self, codes: Sequence[str]) -> list[str]:
        """What each prints, in their order. Each has to say `together()`: all go on from there at one moment."""
        return self.warm.at_once(codes)

    def rows(self, statement: str) -> list[tuple]:
        """The rows of one SQL statement on the garage's database; a statement that changes something is committed."""
        if self.database_url.startswith("postgres"):
            with psycopg.connect(self.database_url) as connection:
                cursor = connection.execute(statement)
                return cursor.fetchall() if cursor.description else []
        connection = sqlite3.connect(self.data / "tickover.sqlite3", timeout=60)
        try:
            with connection:
                return connection.execute(statement).fetchall()
        finally:
            connection.close()


@dataclass
class LiveTickover(Garage):
    """A started garage: web server processes and worker with beat, as `make run` starts them."""

    base_url: str
    child: subprocess.Popen
    said: list[str]

    def get(self, path: str) -> str:
        """The page at path as text; raises HTTPError for an answer that is none."""
        with build_opener(ProxyHandler({})).open(self.base_url + path, timeout=60) as answer:
            return answer.read().decode()

    def processes(self) -> set[int]:
        """The numbers of the supervisor and of every process below it."""
        return {self.child.pid} | descendants(self.child.pid)

    def stop(self) -> int:
        """The exit status of the supervisor after it was asked to stop."""
        end(self.child, signal.SIGTERM)
        return self.child.returncode


@contextlib.contextmanager
def resting_garage(data: Path, database_url: str = "") -> Iterator[Garage]:
    """A garage of which nothing runs: for code on its data alone."""
    garage = Garage(data, _environment(data, database_url), database_url)
    try:
        yield garage
    finally:
        garage.warm.stop()


def _environment(data: Path, database_url: str) -> dict[str, str]:
    kept = {key: value for key, value in os.environ.items() if key not in ("DATABASE_URL", "BROKER_URL", "EMAIL_URL")}
    return kept | {"DATA": str(data)} | ({"DATABASE_URL": database_url} if database_url else {})


@contextlib.contextmanager
def live_tickover(
    data: Path,
    database_url: str = "",
    broker_url: str = "",
    demo: str = "never",
    processes: int = 2,
    part: str = "all",
    variables: dict[str, str] | None = None,
    grace_s: float | None = None,
) -> Iterator[LiveTickover]:
    """A garage started by the supervisor of `make run`; empty addresses mean the file database and broker in data.

    grace_s: what the supervisor gives its children to end, if it is not to be its own.
    """
    port = free_port()
    base_url = f"http://127.0.0.1:{port}"
    environment = _environment(data, database_url) | {"SITE_URL": base_url} | (variables or {})
    if broker_url:
        environment["BROKER_URL"] = broker_url
    options = {"port": port, "data": data, "demo": demo, "processes": processes, "part": part, "site-url": base_url}
    supervisor = ["-m", "garage.running.serve"]
    if grace_s is not None:
        patched = f"from garage.running import serve; serve.GRACE_S = {grace_s}; raise SystemExit(serve.main())"
        supervisor = ["-c", patched]
    command = [sys.executable, *supervisor, *(f"--{key}={value}" for key, value in options.items())]
    child = subprocess.Popen(
        command,
        cwd=ROOT,
        env=environment,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        preexec_fn=die_with_parent,
    )
    said: list[str] = []
    live = LiveTickover(data, environment, database_url, base_url, child, said)
    is_up = threading.Event()
    listener = threading.Thread(target=_listen, args=(child, said, is_up), daemon=True)
    listener.start()
    try:
        is_up.wait(START_LIMIT_S)
        if not any("Ctrl-C stops it" in line for line in said):
            raise AssertionError(f"Tickover did not start; it said:\n{''.join(said)}")
        yield live
    finally:
        live.warm.stop()
        if child.poll() is None:  # asked twice: a test's own garage needs no grace for its worker
            child.terminate()
            with contextlib.suppress(subprocess.TimeoutExpired):
                child.wait(1)
        end(child, signal.SIGTERM)
        listener.join(30)
        if child.stdout and not listener.is_alive():  # what outlives its supervisor holds the pipe
            child.stdout.close()


def _listen(child: subprocess.Popen, said: list[str], is_up: threading.Event) -> None:
    for line in child.stdout:
        said.append(line)
        if "Ctrl-C stops it" in line:
            is_up.set()
    is_up.set()


def _end_once(*_: object) -> None:
    """Ended from outside, the server and its folder still go; a second request must not cut that short."""
    signal.signal(signal.SIGTERM, signal.SIG_IGN)
    sys.exit(1)


def main() -> int:
    if sys.argv[1:3] != ["postgresql", "--"]:
        print("usage: python -m tests.servers postgresql -- COMMAND", file=sys.stderr)  # noqa: T201
        return 2
    signal.signal(signal.SIGTERM, _end_once)
    with postgresql_server() as address:
        environment = os.environ | {"DATABASE_URL": new_postgresql_database(address)}
        return subprocess.run(sys.argv[3:], env=environment, check=False).returncode


if __name__ == "__main__":
    sys.exit(main())
