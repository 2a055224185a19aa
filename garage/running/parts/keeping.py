"""Keeps the parts of a garage running: one that dies is started again alone, and one that gives no sign of life too.

Whoever books sees nothing of a worker that died; while the web server itself is started again, the browser waits a
second. What was in hand is lost with its process and found by the next sweep, since later work is a row first.
"""

from __future__ import annotations

import contextlib
import os
import signal
import subprocess
import threading
from collections.abc import Callable, Iterable, MutableMapping, Sequence
from dataclasses import dataclass

FIRST_WAIT_S, LONGEST_WAIT_S = 1.0, 60.0  # s before it is started again, doubled with each stop; common practice
STEADY_S = 60.0  # s after which a part counts as running again: its next stop waits the first wait


@dataclass
class Sign:
    """read: gives something that changes while the part works, or None before there is any. quiet_limit_s: how long it
    may stay the same until the part counts as hung.
    """

    read: Callable[[], object]
    quiet_limit_s: float
    last: object = None
    last_s: float = 0.0


@dataclass
class RunningPart:
    name: str
    start: Callable[[], subprocess.Popen[bytes]]
    signs: Sequence[Sign]
    begun_s: float = 0.0
    stops: int = 0
    due_s: float | None = None


class Keeper:
    """children: by the name of the part, kept up to date for whoever has to stop them all. note: is told which part
    stopped. say: puts a sentence where somebody looks for it.
    """

    def __init__(
        self,
        parts: Iterable[RunningPart],
        children: MutableMapping[str, subprocess.Popen[bytes]],
        *,
        clock_s: Callable[[], float],
        note: Callable[[str], None],
        say: Callable[[str], None],
    ) -> None:
        self.parts, self.children = list(parts), children
        self.clock_s, self.note, self.say = clock_s, note, say

    def keep(self, stopping: threading.Event, *, look_s: float) -> None:
        """Until somebody asks it to stop."""
        for part in self.parts:
            part.begun_s = self.clock_s()
        while not stopping.wait(look_s):
            for part in self.parts:
                self.look_after(part)

    def look_after(self, part: RunningPart) -> None:
        now_s = self.clock_s()
        if part.due_s is not None:
            if now_s >= part.due_s:
                self._start(part, now_s)
            return
        child = self.children[part.name]
        if child.poll() is not None:
            self._stopped(part, f"stopped on its own (status {child.returncode})", now_s)
            return
        for sign in part.signs:
            if self._is_missed(sign, part, now_s):
                self._stopped(part, f"gave no sign of life for {sign.quiet_limit_s / 60:.0f} minutes", now_s)
                return

    def _is_missed(self, sign: Sign, part: RunningPart, now_s: float) -> bool:
        found = sign.read()
        if found != sign.last:
            sign.last, sign.last_s = found, now_s
        return now_s - max(sign.last_s, part.begun_s) > sign.quiet_limit_s

    def _stopped(self, part: RunningPart, how: str, now_s: float) -> None:
        """What is left of it goes too: a worker's beat outlives a worker that was killed."""
        child = self.children.pop(part.name)
        end_groups([child])
        child.wait()
        part.stops = 0 if now_s - part.begun_s >= STEADY_S else part.stops
        wait_s = wait_after(part.stops)
        part.stops, part.due_s = part.stops + 1, now_s + wait_s
        self.note(part.name)
        self.say(f"The {part.name} {how}; it is started again in {wait_s:.0f} s.")

    def _start(self, part: RunningPart, now_s: float) -> None:
        try:
            self.children[part.name] = part.start()
        except OSError as error:  # no memory or no process to be had just now
            part.due_s = now_s + LONGEST_WAIT_S
            self.say(
                f"The {part.name} cannot be started ({error.strerror}); the next try is in {LONGEST_WAIT_S:.0f} s."
            )
            return
        part.begun_s, part.due_s = now_s, None


def wait_after(stops: int) -> float:
    """Seconds before a part is started again that had stopped so many times in a row before this one.

    >>> [wait_after(stops) for stops in (0, 1, 2, 6, 99)]
    [1.0, 2.0, 4.0, 60.0, 60.0]
    """
    return min(FIRST_WAIT_S * 2.0 ** min(stops, 10), LONGEST_WAIT_S)


def end_groups(children: Iterable[subprocess.Popen[bytes]]) -> None:
    """Kills each child and its whole process group: a worker's beat outlives a worker that was killed."""
    for child in children:
        with contextlib.suppress(ProcessLookupError):
            os.killpg(child.pid, signal.SIGKILL)
