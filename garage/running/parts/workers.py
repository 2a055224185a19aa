"""The programs that work unseen: their commands, and the signs of life that each of them gives. No Django here."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence

from garage.running import running_lock
from garage.running.parts import signs

WORKER, BEAT, HEARING_WORKER = "worker", "beat", "hearing worker"
WORKER_QUIET_S = 900.0  # s; the beat has work for each worker every 20 s, but a long task may keep it from taking that
BEAT_QUIET_S = WORKER_QUIET_S  # it looks every 20 s at the latest; a machine may be busy for minutes
# The greeting says Celery's five lines about root in one.
_PYTHON = [sys.executable, "-W", "ignore:You're running the worker with superuser privileges"]
_CELERY = [*_PYTHON, "-m", "celery", "--quiet", "--app=garage.celery"]


def worker_commands(parts: Sequence[str]) -> dict[str, list[str]]:
    """The beat goes with the worker where both are started here: one process less."""
    commands = {}
    if running_lock.WORKER in parts:
        beat = ("--beat",) if running_lock.BEAT in parts else ()
        # At most one of its three sends mail and one makes a backup, so papers, holds and sweeps never wait for them.
        commands[WORKER] = _worker_command(*beat, "--concurrency=3")
    elif running_lock.BEAT in parts:
        commands[BEAT] = [*_CELERY, "beat", "--loglevel=warning", "--pidfile="]
    if running_lock.HEARING in parts:
        # A separate worker for clips: each computes for seconds, mails must not wait for them, and they get one core.
        hearing = ("--queues=hearing", "--hostname=hearing@%h", "--concurrency=1")
        commands[HEARING_WORKER] = _worker_command(*hearing)
    return commands


def _worker_command(*own: str) -> list[str]:
    quiet = ["--loglevel=warning", "--without-gossip", "--without-mingle", "--without-heartbeat"]
    return [*_CELERY, "worker", *own, *quiet]


def signs_of(name: str, command: Sequence[str]) -> Iterator[tuple[str, float]]:
    """The names of the signs of life that a part gives, and how long it may be quiet."""
    if name == HEARING_WORKER:
        yield signs.HEARING_WORKER, WORKER_QUIET_S
    if name == WORKER:
        yield signs.WORKER, WORKER_QUIET_S
    if name == BEAT or "--beat" in command:
        yield signs.BEAT, BEAT_QUIET_S
