"""Which troubles are known, and since when: so that each is told once in the log, and the page can say how long.

It is a file, since the database may be what is in trouble. Where it cannot be written this process remembers.
"""

from __future__ import annotations

import json
import logging
from collections.abc import Iterable
from datetime import datetime
from pathlib import Path

from garage.core.computer.mending import Trouble
from garage.running.parts.signs import SIGNS

NOTED = "mending.json"

log = logging.getLogger(__name__)
_remembered: dict[str, datetime] = {}


def known_since(data: Path) -> dict[str, datetime]:
    """By the kind of trouble."""
    if _remembered:
        return dict(_remembered)
    try:
        given = json.loads((data / SIGNS / NOTED).read_text(encoding="utf-8"))
        return {str(kind): datetime.fromisoformat(at) for kind, at in given.items()}
    except (OSError, ValueError, TypeError, AttributeError):
        return {}


def note(data: Path, found: Iterable[Trouble], *, now: datetime) -> None:
    """Tells the log what is new and what is gone."""
    known, standing = known_since(data), {trouble.kind: trouble for trouble in found}
    for kind in known.keys() - standing.keys():
        log.warning("Mended: %s.", kind)
    for kind in sorted(standing.keys() - known.keys()):
        log.warning("Needs mending: %s %s", standing[kind].what, standing[kind].do)
    since = {kind: known.get(kind) or trouble.since or now for kind, trouble in standing.items()}
    if since != known:
        _keep(data / SIGNS / NOTED, since)


def _keep(path: Path, since: dict[str, datetime]) -> None:
    _remembered.clear()
    part = path.with_suffix(".part")
    try:
        path.parent.mkdir(mode=0o700, exist_ok=True)
        part.write_text(json.dumps({kind: at.isoformat() for kind, at in since.items()}), encoding="utf-8")
        part.replace(path)
    except OSError:
        _remembered.update(since)
