"""A real PostgreSQL for tests, on a free port, in a folder of its own, stopped again."""

from __future__ import annotations

import contextlib
import os
import pwd
import shutil
import signal
import subprocess
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import psycopg

from tests.processes import START_LIMIT_S, end, free_port


def _postgresql_program(name: str) -> str:
    """Debian keeps the server's programs out of the path, one folder for each edition; the newest is taken."""
    found = sorted(Path("/usr/lib/postgresql").glob(f"*/bin/{name}"), key=lambda path: int(path.parts[4]))
    return str(found[-1]) if found else name


def _unprivileged() -> tuple[list[str], str | None]:
    """PostgreSQL refuses root: how to start it as somebody else, and who that is."""
    if os.geteuid() != 0:
        return [], None
    names = {entry.pw_name for entry in pwd.getpwall()}
    name = "postgres" if "postgres" in names else "nobody"
    group = pwd.getpwnam(name).pw_gid
    return ["setpriv", f"--reuid={name}", f"--regid={group}", "--clear-groups", "--pdeathsig=INT"], name


@contextlib.contextmanager
def postgresql_server(like: Path | None = None) -> Iterator[str]:
    """The address of a PostgreSQL of its own, without a database name: "postgres://tickover@127.0.0.1:PORT".

    like: what keep_postgresql has kept and it begins as; else it is empty.
    """
    with _postgresql_folder() as folder:
        if like:
            _copied_with_its_owner(like, folder / "data")
        else:
            _make_postgresql(folder)
        with _postgresql_running(folder) as address:
            yield address


def keep_postgresql(kept: Path, fill: Callable[[str], None]) -> None:
    """Leaves in kept what a PostgreSQL that was filled and then stopped has written. fill: is given its address."""
    with _postgresql_folder() as folder:
        _make_postgresql(folder)
        with _postgresql_running(folder) as address:
            fill(address)
        _copied_with_its_owner(folder / "data", kept)


def _copied_with_its_owner(folder: Path, to: Path) -> None:
    subprocess.run(["cp", "-a", str(folder), str(to)], check=True)


@contextlib.contextmanager
def _postgresql_folder() -> Iterator[Path]:
    _, name = _unprivileged()
    folder = Path(tempfile.mkdtemp(prefix="tickover-postgresql-", dir="/tmp"))
    if name:
        shutil.chown(folder, name)
    try:
        yield folder
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _make_postgresql(folder: Path) -> None:
    as_somebody, _ = _unprivileged()
    options = ["-U", "tickover", "-A", "trust", "-E", "UTF8", "--locale=C", "-N"]
    make = [*as_somebody, _postgresql_program("initdb"), "-D", str(folder / "data"), *options]
    made = subprocess.run(make, capture_output=True, text=True, cwd=folder, check=False)
    if made.returncode:
        raise RuntimeError(f"initdb said: {made.stderr or made.stdout}")


@contextlib.contextmanager
def _postgresql_running(folder: Path) -> Iterator[str]:
    as_somebody, _ = _unprivileged()
    port = free_port()
    options = {"listen_addresses": "127.0.0.1", "port": port, "unix_socket_directories": folder, "fsync": "off"}
    options |= {"synchronous_commit": "off", "full_page_writes": "off", "max_connections": 150}
    settings = [f"--{key}={value}" for key, value in options.items()]
    log = folder / "log.txt"
    with log.open("w") as said:
        start = [*as_somebody, _postgresql_program("postgres"), "-D", str(folder / "data"), *settings]
        child = subprocess.Popen(start, stdout=said, stderr=said, cwd=folder, start_new_session=True)
        address = f"postgres://tickover@127.0.0.1:{port}"
        try:
            _wait_for_postgresql(address, child, log)
            yield address
        finally:
            end(child, signal.SIGINT)  # its fast shutdown: open connections are closed


def _wait_for_postgresql(address: str, child: subprocess.Popen, log: Path) -> None:
    give_up_s = time.monotonic() + START_LIMIT_S
    while True:
        try:
            psycopg.connect(f"{address}/postgres").close()
        except psycopg.OperationalError as error:
            if child.poll() is not None or time.monotonic() > give_up_s:
                raise RuntimeError(f"PostgreSQL does not answer ({error}); it said: {log.read_text()}") from error
            time.sleep(0.05)
        else:
            return


def new_postgresql_database(address: str, like: str = "template1") -> str:
    """The address of a new database on that server. like: the name of one that it is a copy of; else it is empty."""
    with psycopg.connect(f"{address}/postgres", autocommit=True) as connection:
        (number,) = connection.execute("select count(*) from pg_database").fetchone()
        connection.execute(f"create database fresh_{number} template {like}")
    return f"{address}/fresh_{number}"
