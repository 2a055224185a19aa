"""From a clip's path to samples, in a long-lived child process with limits on time, memory and length.

A decoder may crash its process, and `multiprocessing` does not work inside a Celery worker. So the child is a plain
subprocess (diagnostics/hearing/decoding/decode_child.py). It is replaced after a crash, a hang, or CLIPS_A_CHILD clips.
"""

from __future__ import annotations

import json
import os
import select
import subprocess
import sys
import time
from pathlib import Path

import numpy as np

from diagnostics.hearing.core import limits
from garage.core.errors import Showable

CLIPS_A_CHILD = 200  # then a fresh child, so that no leak grows; common practice, no source
SECONDS_A_CLIP = 60.0
LONGEST_ANSWER_S = 182  # three minutes, and what a codec adds
SAMPLES_AT_MOST = limits.RATE_HZ * LONGEST_ANSWER_S
ROOT = Path(__file__).resolve().parents[3]
CRASHED = (
    "clip crashed the decoder; allowed is a sound or video file as a phone makes it: please try to record it again."
)
TOO_SLOW = f"clip took more than {SECONDS_A_CLIP:.0f} s to decode; allowed is a clip of at most 3 minutes and 100 MB."


class _Gone(Exception):
    """The child has ended, or what it sent is no answer."""


class Decoder:
    """Decodes clip after clip; use as a context manager, or call close()."""

    def __init__(self, seconds_a_clip: float = SECONDS_A_CLIP) -> None:
        self.seconds_a_clip = seconds_a_clip
        self._child: subprocess.Popen[bytes] | None = None
        self._clips = 0

    def __enter__(self) -> Decoder:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def samples(self, path: str | bytes) -> np.ndarray:
        """The sound, (n,) float32 at RATE_HZ, one channel. Raises Showable where there is none to be had."""
        return self._asked(path)

    def write_playable(self, path: str | bytes, into: str) -> None:
        """Its sound as every browser plays it, as a new file. Raises Showable, then a part of it may be there."""
        self._asked(path, into)

    def _asked(self, *paths: str | bytes) -> np.ndarray:
        if self._clips >= CLIPS_A_CHILD:
            self.close()
        try:
            child = self._child or self._start()
            self._clips += 1
            return self._answer(child, *map(os.fsencode, paths))
        except TimeoutError as error:
            self.close()
            raise Showable(TOO_SLOW) from error
        except (_Gone, BrokenPipeError) as error:
            self.close()
            raise Showable(CRASHED) from error

    def close(self) -> None:
        """Stop the child; the next clip starts another."""
        child, self._child, self._clips = self._child, None, 0
        if child is not None:
            child.kill()
            child.communicate()

    def _start(self) -> subprocess.Popen[bytes]:
        self._child = subprocess.Popen(  # our own module by this very Python
            [sys.executable, "-m", "diagnostics.hearing.decoding.decode_child"],
            cwd=ROOT,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            bufsize=0,
            start_new_session=True,
        )
        return self._child

    def _answer(self, child: subprocess.Popen[bytes], *paths: bytes) -> np.ndarray:
        assert child.stdin is not None  # noqa: S101  both were asked for
        assert child.stdout is not None  # noqa: S101
        full = [os.path.abspath(path) for path in paths]  # the child works in the project's folder
        child.stdin.write(b" ".join(path.hex().encode() for path in full) + b"\n")
        deadline = time.monotonic() + self.seconds_a_clip
        pipe, waiting = child.stdout.fileno(), b""
        while b"\n" not in waiting:
            waiting += _read(pipe, deadline)
        line, waiting = waiting.split(b"\n", 1)
        try:
            header = json.loads(line)
        except ValueError as error:
            raise _Gone from error
        if "error" in header:
            raise Showable(str(header["error"]))
        size = 4 * int(header["samples"])
        if size > 4 * SAMPLES_AT_MOST:
            raise _Gone
        parts = [waiting]
        got = len(waiting)
        while got < size:
            parts.append(_read(pipe, deadline))
            got += len(parts[-1])
        return np.frombuffer(b"".join(parts), np.float32)


def _read(pipe: int, deadline: float) -> bytes:
    ready, _, _ = select.select([pipe], [], [], max(deadline - time.monotonic(), 0))
    if not ready:
        raise TimeoutError
    part = os.read(pipe, 1 << 20)
    if not part:
        raise _Gone
    return part
