"""Who has a file in hand: a lock that the kernel lets go of with the process that holds it, however that ends.

A row that says "being heard" cannot tell whether its worker still lives; the lock on the sound itself can, at once.
"""

from __future__ import annotations

import fcntl
from collections.abc import Iterator
from contextlib import contextmanager
from typing import BinaryIO


@contextmanager
def in_hand(path: str) -> Iterator[bool]:
    """True, and ours until the block ends; False where a living process has it.

    The disk must know locks, as Django's storage asks of it too: it locks what it writes.
    """
    try:
        file = open(path, "rb")  # noqa: SIM115  held below
    except OSError:
        yield True  # gone, or not to be read: nobody can be working on it, and why it is so is said by who tries
        return
    with file:
        yield _locked(file)


def _locked(file: BinaryIO) -> bool:
    try:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    return True
