"""Where each process of a garage keeps its numbers: a file of its own, below DATA, which whoever is asked adds up."""

from __future__ import annotations

import os
import socket
from pathlib import Path

FOLDER = "metrics"


def process_name() -> str:
    """Of this process among all that share the folder: containers number theirs alike, and each has a name of its own.

    Without underscores: the library parts its file names at them.
    """
    return f"{_here()}-{os.getpid()}"


def forget_the_dead(folder: Path) -> None:
    """Drops the files that processes of this computer left behind. What they counted begins anew, as after any restart;
    files of other computers, or containers, are theirs to drop.
    """
    for path in folder.glob(f"*_{_here()}-*.db"):
        if not _lives(path.stem.rpartition("-")[2]):
            path.unlink(missing_ok=True)


def _here() -> str:
    return socket.gethostname().replace("_", "-")


def _lives(number: str) -> bool:
    try:
        os.kill(int(number), 0)
    except PermissionError:
        return True
    except (ValueError, OSError):
        return False
    return True
