"""What needs mending, as far as files and the computer say it: cheap enough for each page of the boss."""

from __future__ import annotations

import os
import shutil
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime

from django.conf import settings

from garage.core.computer.mending import (
    BEAT,
    BOOK,
    CLIPS,
    CLOCK,
    DATABASE_AWAY,
    HEARING,
    LOCKED,
    MAIL,
    WORKER,
    Disk,
    GarageFacts,
    Trouble,
    troubles,
)
from garage.pages.backups import backups_seen
from garage.running.brokers.set_aside import set_aside
from garage.running.noted import known_since
from garage.running.parts import signs

BY_ROWS = frozenset({BOOK, CLIPS, CLOCK, MAIL})  # what the beat looks up each minute, so that no page has to
SIGN_OF = {BEAT: signs.BEAT, WORKER: signs.WORKER, HEARING: signs.HEARING_WORKER}


def machine_facts(*, now: datetime) -> GarageFacts:
    aside, backups = set_aside(settings.DATA), backups_seen(now=now)
    return GarageFacts(
        disk=_disk(),
        backups=str(backups.folder) if backups.last_at else "",
        read_only="" if os.access(settings.DATA, os.W_OK) or not settings.DATA.is_dir() else str(settings.DATA),
        database=_given((LOCKED, DATABASE_AWAY)),
        set_aside=(aside.count, aside.since, str(aside.folder)),
        heard={part: at for part, name in SIGN_OF.items() if (at := signs.given_at(settings.DATA, name))},
        stops=_stops(),
        backup=(backups.trouble, backups.failed_at or backups.last_at),
    )


def with_since(found: Sequence[Trouble]) -> list[Trouble]:
    """Each with when it was first noted, where it does not know better itself."""
    known = known_since(settings.DATA)
    return [trouble if trouble.since else replace(trouble, since=known.get(trouble.kind)) for trouble in found]


def needs_mending_count(*, now: datetime) -> int:
    """How many troubles there are: by the computer as it is now, by the rows as the beat last found them."""
    noted = known_since(settings.DATA).keys() & BY_ROWS
    return len(troubles(machine_facts(now=now), now=now)) + len(noted)


def _disk() -> Disk | None:
    try:
        room = shutil.disk_usage(settings.DATA)
    except OSError:
        return None
    return Disk(str(settings.DATA), room.free, room.total)


def _given(names: Sequence[str]) -> Mapping[str, datetime]:
    return {name: at for name in names if (at := signs.given_at(settings.DATA, name))}


def _stops() -> Mapping[str, Sequence[datetime]]:
    found: dict[str, list[datetime]] = defaultdict(list)
    for row in signs.stopped(settings.DATA):
        found[row.part].append(row.at)
    return found
