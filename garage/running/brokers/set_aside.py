"""The folder of messages that could not be read (garage/running/brokers/file_broker.py). No Django here."""

from __future__ import annotations

import contextlib
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

SET_ASIDE = "set-aside"  # beside the folder of tasks


@dataclass(frozen=True)
class SetAside:
    """since: when the first of them was written."""

    folder: Path
    count: int
    since: datetime | None


def set_aside(data: Path) -> SetAside:
    folder, at_s = data / "broker" / SET_ASIDE, []
    with contextlib.suppress(OSError):
        at_s = [path.stat().st_mtime for path in folder.iterdir()]
    return SetAside(folder, len(at_s), datetime.fromtimestamp(min(at_s), UTC) if at_s else None)
