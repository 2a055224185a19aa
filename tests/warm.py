"""A program with Django set up on one garage that runs each piece of code in a child of its own, forked.

Many tests run a few lines on a garage's own data, several at the same moment. A new program for each costs a second of
a core for its imports; a child costs nearly nothing, and is a process with its own connection all the same. `python -m
tests.warm SOCKET` is the program; `Warm` starts and asks it. What one has begun is a `Work`: it can be killed from its
first moment on, with all that it has started, and it never outlives the program.
"""

from __future__ import annotations

import contextlib
import gc
import os
import signal
import socket
import subprocess
import sys
import time
import traceback
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Self
from uuid import uuid4

import django

from garage.running.serve import die_with_parent
from tests.processes import START_LIMIT_S, end, still_running

ROOT = Path(__file__).resolve().parent.parent
CODE_LIMIT_S = 180.0  # s; a race on two busy cores takes some ten


@dataclass
class Work:
    """Code that runs in a child with a process group of its own. As a context it is killed when that is left."""

    door: socket.socket
    heard: bytes = b""

    def __post_init__(self) -> None:
        number, _, self.heard = self._until(b"\n").partition(b"\n")  # which the child says first
        self.number = int(number)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.kill()

    def wait_for(self, words: str) -> None:
        """Raises with what the code has said if it ends without having said these words."""
        if words.encode() not in self._until(words.encode()):
            raise AssertionError(f"the code ended before it said {words!r}:\n{self.heard.decode()}")

    def to_its_end(self) -> str:
        """What the code has printed; raises with its words when it fails."""
        said, _, ending = self._until(None).decode().rpartition("\0")
        if ending != "done":
            raise AssertionError(f"the code did not come to its end:\n{said}")
        return said

    def kill(self) -> None:
        """Returns once neither it nor anything that it has started is there any more."""
        with contextlib.suppress(ProcessLookupError):
            os.killpg(self.number, signal.SIGKILL)
        self._until(None)  # each of them holds the other end of it
        self.door.close()
        while still_running({self.number}):
            time.sleep(0.001)

    def _until(self, words: bytes | None) -> bytes:
        """What has been heard once these words are in it, or all there is."""
        with contextlib.suppress(ConnectionResetError):  # killed before it had read what it should do
            while self.door.fileno() != -1 and (words is None or words not in self.heard):
                if not (more := self.door.recv(65536)):
                    break
                self.heard += more
        return self.heard


@dataclass
class Warm:
    """environment: of the garage, as its own programs have it."""

    environment: dict[str, str]
    folder: TemporaryDirectory[str] = field(default_factory=lambda: TemporaryDirectory(prefix="tickover-warm-"))
    program: subprocess.Popen[bytes] | None = None

    def run(self, code: str) -> str:
        """What the code prints; raises with its words when it fails."""
        with self.begin(code) as work:
            return work.to_its_end()

    def begin(self, code: str) -> Work:
        asking = socket.socket(socket.AF_UNIX)
        asking.settimeout(CODE_LIMIT_S)
        asking.connect(self._address())
        asking.sendall(code.encode())
        asking.shutdown(socket.SHUT_WR)
        return Work(asking)

    def at_once(self, codes: Sequence[str]) -> list[str]:
        """What each prints, in their order. Each must say `together()` where it has got ready; all go on from there."""
        place = Path(self.folder.name) / uuid4().hex
        place.mkdir()
        begin = f"from tests import warm\ndef together(): warm.together({str(place)!r}, {len(codes)})\n"
        self._address()  # it ends with the thread that has started it: not with one of these
        with ThreadPoolExecutor(len(codes)) as pool:
            return list(pool.map(lambda code: self.run(begin + code), codes))

    def stop(self) -> None:
        if self.program and self.program.stdout:
            end(self.program, signal.SIGTERM)
            self.program.stdout.close()
        self.folder.cleanup()

    def _address(self) -> str:
        address = str(Path(self.folder.name) / "socket")
        if self.program is None:
            command = [sys.executable, "-m", "tests.warm", address]
            self.program = subprocess.Popen(
                command, cwd=ROOT, env=self.environment, stdout=subprocess.PIPE, preexec_fn=die_with_parent
            )
            if not self.program.stdout or not self.program.stdout.readline():
                raise AssertionError("the warm program did not start")
        return address


def together(place: str, count: int) -> None:
    """Returns once so many have come to this folder."""
    (Path(place) / uuid4().hex).touch()
    until = time.monotonic() + START_LIMIT_S
    while len(os.listdir(place)) < count:
        if time.monotonic() > until:
            raise TimeoutError(f"of {count} only {len(os.listdir(place))} got ready")
        time.sleep(0.002)


def main() -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "garage.settings")
    django.setup()
    for module in ("booking", "garage"):
        __import__(f"tests.factories.{module}")
    signal.signal(signal.SIGCHLD, signal.SIG_IGN)  # nobody waits for a child: its asker reads to the end
    gc.freeze()
    with socket.socket(socket.AF_UNIX) as door:
        door.bind(sys.argv[1])
        door.listen(64)
        print("up", flush=True)  # noqa: T201
        while True:
            asked, _ = door.accept()
            if os.fork() == 0:
                door.close()
                _answer(asked)
            asked.close()


def _answer(asked: socket.socket) -> None:
    """In the child: does what it is asked and ends without the parent's tidying up."""
    signal.signal(signal.SIGCHLD, signal.SIG_DFL)
    os.setsid()
    die_with_parent()
    asked.sendall(f"{os.getpid()}\n".encode())
    code = b"".join(iter(lambda: asked.recv(65536), b"")).decode()
    os.dup2(asked.fileno(), 1)
    os.dup2(asked.fileno(), 2)
    ending = "done"
    try:
        exec(code, {"__name__": "__main__"})  # noqa: S102
    except BaseException:  # noqa: BLE001 - a child tells whatever happens to it
        traceback.print_exc()
        ending = "failed"
    sys.stdout.flush()
    sys.stderr.flush()
    with contextlib.suppress(OSError):
        asked.sendall(f"\0{ending}".encode())
    os._exit(0)


if __name__ == "__main__":
    main()
