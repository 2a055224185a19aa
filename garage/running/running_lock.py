"""A folder belongs to one running garage: the supervisor holds a lock on it, and so does what it has started.

The lock (flock(2)) goes with the last of these processes, however it ends, so nothing has to be tidied up. Web server
and worker have one each, since an installation may start them apart (`--part`). No Django here.
"""

from __future__ import annotations

import contextlib
import errno
import fcntl
import os
from collections.abc import Iterator, Sequence
from pathlib import Path

from garage.running.machine import Unfit, folder_sentence

WEB, WORKER = "web", "worker"
BOTH = (WEB, WORKER)
PARTS = {"all": BOTH, WEB: (WEB,), WORKER: (WORKER,)}

_held: list[int] = []


def held() -> Sequence[int]:
    """The descriptors of this process's own locks, to be handed on to what it starts."""
    return tuple(_held)


def hold(data: Path, parts: Sequence[str], *, says: str) -> None:
    """For as long as this process lives. says: where it is to be found. Raises Unfit if somebody else holds one."""
    _held.extend(_taken(data, part, says) for part in parts)


@contextlib.contextmanager
def held_meanwhile(data: Path, *, says: str) -> Iterator[None]:
    """For a command that may not run beside the garage."""
    with contextlib.ExitStack() as taken:
        for part in BOTH:
            taken.callback(os.close, _taken(data, part, says))
        yield


def _taken(data: Path, part: str, says: str) -> int:
    path = data / f"running-{part}.lock"
    try:
        descriptor = os.open(path, os.O_RDWR | os.O_CREAT, 0o600)
    except OSError as error:
        raise Unfit(folder_sentence(error, data)) from None
    try:
        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError as error:
        holder = os.pread(descriptor, 200, 0).decode(errors="replace")
        os.close(descriptor)
        if error.errno not in (errno.EWOULDBLOCK, errno.EACCES):
            raise Unfit(folder_sentence(error, data)) from None
        raise Unfit(
            f"Tickover is already running on {data} ({holder or 'just started'}); "
            "stop that one first, or choose another folder with DATA=/path."
        ) from None
    os.ftruncate(descriptor, 0)
    os.pwrite(descriptor, says.encode(), 0)
    return descriptor
