"""What runs on this machine, read from Linux' /proc: tests prove with it that nothing is left behind."""

from __future__ import annotations

import contextlib
import signal
import socket
import subprocess
from pathlib import Path

START_LIMIT_S = 120.0  # s; generous, since several helpers may share two cores


def _parents() -> dict[int, int]:
    """The parent of each process that is no zombie, from /proc (proc(5): state and parent follow the name)."""
    parents = {}
    for stat in Path("/proc").glob("[0-9]*/stat"):
        with contextlib.suppress(FileNotFoundError, ProcessLookupError):  # it ended while the list was read
            state, parent = stat.read_text().rpartition(")")[2].split()[:2]
            if state != "Z":
                parents[int(stat.parent.name)] = int(parent)
    return parents


def children(process: int) -> set[int]:
    return {number for number, parent in _parents().items() if parent == process}


def descendants(process: int) -> set[int]:
    parents, found, newest = _parents(), set(), {process}
    while newest:
        newest = {number for number, parent in parents.items() if parent in newest} - found
        found |= newest
    return found


def still_running(processes: set[int]) -> set[int]:
    return processes & set(_parents())


def free_port() -> int:
    with socket.socket() as trial:
        trial.bind(("127.0.0.1", 0))
        return int(trial.getsockname()[1])


def end(child: subprocess.Popen, asked_with: signal.Signals) -> None:
    if child.poll() is None:
        child.send_signal(asked_with)
    try:
        child.wait(30)
    except subprocess.TimeoutExpired:
        child.kill()
        child.wait()
