"""Signs of life: a file for each part that works unseen, touched while it works, and a list of what has stopped.

To touch a file that stands needs no room on a disk. A sign that cannot be given is left out: nothing may fail by it. No
Django here.
"""

from __future__ import annotations

import contextlib
import json
import os
import time
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

SIGNS = "signs"  # the folder, under DATA
BEAT = "beat"
WORKER, HEARING_WORKER = "celery", "hearing"  # the queues that they serve
STOPS = "stopped.jsonl"
STOPS_KEPT = 20
STOPS_LONGEST_BYTES = 10_000  # some two hundred lines


@dataclass(frozen=True)
class PartStopped:
    """part: as the supervisor calls it."""

    part: str
    at: datetime


def give(data: Path, name: str) -> None:
    path = data / SIGNS / name
    with contextlib.suppress(OSError):
        try:
            os.utime(path)
        except FileNotFoundError:
            path.parent.mkdir(mode=0o700, exist_ok=True)
            path.touch()


def mark(data: Path, name: str) -> int | None:
    """A number that changes with each sign, whatever the clock does. None while there is none."""
    with contextlib.suppress(OSError):
        return (data / SIGNS / name).stat().st_mtime_ns
    return None


def given_at(data: Path, name: str) -> datetime | None:
    at_ns = mark(data, name)
    return datetime.fromtimestamp(at_ns / 1e9, UTC) if at_ns is not None else None


def given_within(data: Path, name: str, seconds: float) -> bool:
    at_ns = mark(data, name)
    return at_ns is not None and abs(time.time() - at_ns / 1e9) < seconds


def note_stopped(data: Path, part: str, *, at: datetime) -> None:
    """A line of its own at the end: where parts are started apart, several supervisors write."""
    path = data / SIGNS / STOPS
    with contextlib.suppress(OSError):
        path.parent.mkdir(mode=0o700, exist_ok=True)
        if path.exists() and path.stat().st_size > STOPS_LONGEST_BYTES:
            lines = path.read_text().splitlines(keepends=True)[-STOPS_KEPT:]
            path.with_suffix(".part").write_text("".join(lines))
            path.with_suffix(".part").replace(path)
        with path.open("a") as stops:
            stops.write(json.dumps([part, at.isoformat()]) + "\n")


def stopped(data: Path) -> list[PartStopped]:
    """The latest stops, oldest first."""
    try:
        lines = (data / SIGNS / STOPS).read_text().splitlines()
    except (OSError, ValueError):
        return []
    return [row for line in lines[-STOPS_KEPT:] if (row := _read(line))]


def _read(line: str) -> PartStopped | None:
    """None for a line that was cut short."""
    try:
        part, at = json.loads(line)
        return PartStopped(str(part), datetime.fromisoformat(at))
    except (ValueError, TypeError):
        return None
