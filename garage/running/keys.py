"""The file of keys under DATA: the key in force first, then the earlier ones that still count, one a line.

Only the garage's own system user can read it. A personal link and a log-in are signed with the key in force, and open
with any of them. No Django here: the first key is made before it starts.
"""

from __future__ import annotations

import contextlib
import os
import secrets
from collections.abc import Sequence
from pathlib import Path

FILE = "secret.key"
BYTES = 64  # of chance in a key, written as some 86 letters; Django asks a deployed site for 50


def new_key() -> str:
    return secrets.token_urlsafe(BYTES)


def kept_keys(data: Path) -> list[str]:
    """Empty if there is no file yet."""
    with contextlib.suppress(FileNotFoundError):
        return [line.strip() for line in (data / FILE).read_text(encoding="utf-8").splitlines() if line.strip()]
    return []


def make_first_key(data: Path) -> None:
    """Of two that start at once, the first one's key counts."""
    path = data / FILE
    if path.exists() and not kept_keys(data):  # cut off between its making and its writing
        path.unlink()
    with contextlib.suppress(FileExistsError):
        _write(path, [new_key()])


def write_keys(data: Path, keys: Sequence[str]) -> None:
    """All of them or, if it is cut short, what stood there before."""
    unfinished = data / f"{FILE}.unfinished"
    unfinished.unlink(missing_ok=True)
    _write(unfinished, keys)
    unfinished.replace(data / FILE)
    keep_names(data)


def _write(path: Path, keys: Sequence[str]) -> None:
    with os.fdopen(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w", encoding="utf-8") as file:
        file.write("\n".join(keys))
        file.flush()
        os.fsync(file.fileno())


def keep_names(folder: Path) -> None:
    """A file that was renamed keeps its new name even if the power fails now (fsync(2), of its folder)."""
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)
