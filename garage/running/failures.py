"""What failed with nobody looking: counted in a file for each kind, since the database may be what is in trouble, until
the boss has been told of it. Only what failed and where is kept, nothing of whom it was for. No Django here.
"""

from __future__ import annotations

import contextlib
import hashlib
import logging
import traceback
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from garage.running.parts.signs import SIGNS

FOLDER = "failures"  # under the signs
ONCE_IN = timedelta(hours=1)  # a kind is told once in so long, however often it fails
LONGEST_BYTES = 100_000  # of one kind: some thousand times, more are not counted
ROOT = Path(__file__).resolve().parents[2]
OF_OTHERS = "django.security"  # what strangers send that is refused: no failure of ours


@dataclass(frozen=True)
class Failure:
    """times: since the last time that it was told. kind: what and where."""

    kind: str
    times: int
    first_at: datetime


class NoteFailures(logging.Handler):
    """data: a folder where no garage has run yet is left as it is."""

    def __init__(self, data: Path) -> None:
        super().__init__(logging.ERROR)
        self._folder = data / SIGNS / FOLDER

    def emit(self, record: logging.LogRecord) -> None:
        if record.name.startswith(OF_OTHERS) or not self._folder.parent.is_dir():
            return
        at = datetime.fromtimestamp(record.created, UTC)
        with contextlib.suppress(OSError):
            note(self._folder, kind_of(record), at=at)


def kind_of(record: logging.LogRecord) -> str:
    """Without the message, which may name somebody: what was raised, and the innermost place of ours."""
    error = record.exc_info[1] if record.exc_info else None
    if error is None:
        return f"{record.name}, {record.module}.{record.funcName}"
    places = traceback.extract_tb(error.__traceback__)
    ours = [place for place in places if Path(place.filename).is_relative_to(ROOT) and ".venv" not in place.filename]
    at = (ours or places)[-1:]
    where = f" in {Path(at[0].filename).name}, {at[0].name}" if at else ""
    return f"{type(error).__name__}{where}"


def note(folder: Path, kind: str, *, at: datetime) -> None:
    """A line more: several processes may write at once."""
    folder.mkdir(mode=0o700, exist_ok=True)
    path = folder / hashlib.sha256(kind.encode()).hexdigest()[:16]
    if path.exists() and path.stat().st_size > LONGEST_BYTES:
        return
    with path.open("a", encoding="utf-8") as lines:
        lines.write(f"{at.isoformat()} {kind}\n")


def untold(data: Path, *, now: datetime) -> Iterator[tuple[Failure, Path]]:
    """Each kind that may be told now, with its file for `told`."""
    for path in sorted((data / SIGNS / FOLDER).glob("?" * 16)):
        before = path.with_suffix(".told")
        if before.exists() and now - datetime.fromtimestamp(before.stat().st_mtime, UTC) < ONCE_IN:
            continue
        lines = path.read_text(encoding="utf-8").splitlines()
        if lines:
            at, _, kind = lines[0].partition(" ")
            yield Failure(kind, len(lines), datetime.fromisoformat(at)), path


def told(path: Path) -> None:
    path.with_suffix(".told").touch()
    path.unlink(missing_ok=True)
