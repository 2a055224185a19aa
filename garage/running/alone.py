"""Of all processes on one folder a single one does something at a time, and no other waits for it."""

from __future__ import annotations

import contextlib
import fcntl
import os
from collections.abc import Iterator
from pathlib import Path


@contextlib.contextmanager
def alone(lock: Path) -> Iterator[bool]:
    """Whether nobody else is inside. The lock (flock(2)) goes with its process, however that ends.

    Where a disk is full or read-only there may be no such file: then everybody is let in, so it must not be all that
    keeps two from doing the same.
    """
    with contextlib.ExitStack() as held:
        yield _is_taken(lock, held)


def _is_taken(lock: Path, held: contextlib.ExitStack) -> bool:
    try:
        descriptor = os.open(lock, os.O_RDWR | os.O_CREAT, 0o600)
    except OSError:
        return True
    held.callback(os.close, descriptor)
    try:
        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    return True
