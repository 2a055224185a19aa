"""Who has a file in hand: a lock that the kernel releases when its process ends, however it ends.

A row that says "being heard" cannot tell whether its worker is still alive. The lock on the sound can, at once.
"""

from __future__ import annotations

import fcntl
from collections.abc import Iterator
from contextlib import contextmanager
from typing import BinaryIO


@contextmanager
def in_hand(path: str) -> Iterator[bool]:
    """True, with the lock held until the block ends; False where a living process holds it.

    The file system must support locks. Django's storage asks that of it too, when it writes.
    """
    try:
        file = open(path, "rb")  # noqa: SIM115  held below
    except OSError:
        yield True  # gone or unreadable: nobody can be working on it, and whoever tries to read it says why
        return
    with file:
        yield _locked(file)


def _locked(file: BinaryIO) -> bool:
    try:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    return True
