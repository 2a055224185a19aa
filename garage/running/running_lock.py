"""A folder belongs to one running garage: the supervisor holds locks on it, and so does what it has started.

A lock (flock(2)) goes with the last of these processes, however it ends, so nothing has to be tidied up. Each part has
one, since an installation may start them apart (`--part`): of web server and beat there is one, of the workers as many
as somebody starts. All of them have to be of the same garage. No Django here.
"""

from __future__ import annotations

import contextlib
import errno
import fcntl
import hashlib
import os
import time
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

from garage.running.machine import Unfit, folder_sentence

WEB, WORKER, HEARING, BEAT = "web", "worker", "hearing", "beat"
EVERY = (WEB, WORKER, HEARING, BEAT)
WORKER_ALONE = "worker-alone"
SEVERAL = (WORKER, HEARING)  # the broker hands each task to one of them
# What `--part` starts: worker is all that works unseen, and the last three are that in pieces.
PARTS = {
    "all": EVERY,
    WEB: (WEB,),
    WORKER: (WORKER, HEARING, BEAT),
    WORKER_ALONE: (WORKER,),
    HEARING: (HEARING,),
    BEAT: (BEAT,),
}
GARAGE = "garage"  # the lock under which parts agree that they are of one
AGREE_LIMIT_S, AGREE_LOOK_S = 2.0, 0.02  # s; another one that starts at this moment writes one line

_held: list[int] = []


def held() -> Sequence[int]:
    """The descriptors of this process's own locks, to be handed on to what it starts."""
    return tuple(_held)


def which_garage(site_url: str, environment: Mapping[str, str]) -> str:
    """The same for parts of one garage. It gives nothing away: some addresses hold a password."""
    settings = (site_url, *(environment.get(name, "") for name in ("DATABASE_URL", "BROKER_URL")))
    return hashlib.sha256("\n".join(settings).encode()).hexdigest()


def hold(data: Path, parts: Sequence[str], *, says: str, garage: str = "") -> None:
    """For as long as this process lives. says: where it is to be found. garage: see which_garage. Raises Unfit if
    another garage holds the folder, or there is such a part already and may be only one.
    """
    _held.append(_agreed(data, says, f"{says}\n{garage}"))
    _held.extend(_taken(data, part, says, fcntl.LOCK_SH if part in SEVERAL else fcntl.LOCK_EX) for part in parts)


@contextlib.contextmanager
def held_meanwhile(data: Path, *, says: str) -> Iterator[None]:
    """For a command that may not run beside the garage."""
    with contextlib.ExitStack() as taken:
        for part in EVERY:
            taken.callback(os.close, _taken(data, part, says, fcntl.LOCK_EX))
        yield


def _agreed(data: Path, says: str, garage: str) -> int:
    """Whoever is alone writes which garage it is; whoever comes reads it."""
    descriptor = _opened(data, GARAGE)
    give_up_s = time.monotonic() + AGREE_LIMIT_S
    while True:
        with contextlib.suppress(BlockingIOError):
            fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
            _write(descriptor, garage)
        with contextlib.suppress(BlockingIOError):
            fcntl.flock(descriptor, fcntl.LOCK_SH | fcntl.LOCK_NB)
            break
        if time.monotonic() > give_up_s:
            os.close(descriptor)
            raise Unfit(_already(data, says))
        time.sleep(AGREE_LOOK_S)
    found = _read(descriptor)
    if found != garage:
        os.close(descriptor)
        raise Unfit(_already(data, found.partition("\n")[0]))
    return descriptor


def _taken(data: Path, part: str, says: str, kind: int) -> int:
    descriptor = _opened(data, part)
    try:
        fcntl.flock(descriptor, kind | fcntl.LOCK_NB)
    except OSError as error:
        holder = _read(descriptor)
        os.close(descriptor)
        if error.errno not in (errno.EWOULDBLOCK, errno.EACCES):
            raise Unfit(folder_sentence(error, data)) from None
        raise Unfit(_already(data, holder)) from None
    _write(descriptor, says)
    return descriptor


def _opened(data: Path, name: str) -> int:
    try:
        return os.open(data / f"running-{name}.lock", os.O_RDWR | os.O_CREAT, 0o600)
    except OSError as error:
        raise Unfit(folder_sentence(error, data)) from None


def _read(descriptor: int) -> str:
    return os.pread(descriptor, 400, 0).decode(errors="replace")


def _write(descriptor: int, text: str) -> None:
    os.ftruncate(descriptor, 0)
    os.pwrite(descriptor, text.encode(), 0)


def _already(data: Path, holder: str) -> str:
    return (
        f"Tickover is already running on {data} ({holder or 'just started'}); "
        "stop that one first, or choose another folder with DATA=/path."
    )
