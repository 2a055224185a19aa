"""What a backup says about itself: when, of which kind of database, as far as which migration, and every file in it."""

from __future__ import annotations

import json
from collections.abc import Collection
from dataclasses import asdict, dataclass
from datetime import datetime
from pathlib import PurePosixPath
from typing import Any

from garage.core.errors import Refused

NAME, FORMAT = "manifest.json", 1
KEYS, MEDIA = "secret.key", "media"
DATABASES = {"sqlite": "database.sqlite3", "postgresql": "database.dump"}  # the kind, and its file in the backup
DAMAGED = "This backup is damaged: {what}. Take another one."


@dataclass(frozen=True)
class FileKept:
    """size_bytes and sha256 are of the file itself, before it was packed."""

    name: str
    size_bytes: int
    sha256: str


@dataclass(frozen=True)
class Manifest:
    """migrations: as "garage.0001_initial", every one that the database had."""

    made_at: datetime
    why: str
    database: str
    migrations: tuple[str, ...]
    files: tuple[FileKept, ...]

    def to_json(self) -> str:
        return json.dumps({"format": FORMAT} | asdict(self) | {"made_at": self.made_at.isoformat()}, indent=1)

    @property
    def size_bytes(self) -> int:
        return sum(file.size_bytes for file in self.files)


def read_manifest(text: bytes) -> Manifest:
    """Raises Refused for one that this edition cannot read, or that names files outside of a backup's own places."""
    try:
        given = json.loads(text)
        if isinstance(given, dict) and isinstance(given.get("format"), int) and given["format"] > FORMAT:
            raise Refused("This backup was made by a newer Tickover. Update this one first, then put the backup back.")
        manifest = _manifest(given)
    except (ValueError, TypeError, KeyError, RecursionError) as error:
        raise Refused(DAMAGED.format(what="what it says about itself cannot be read")) from error
    names = [file.name for file in manifest.files]
    wanted = {KEYS, DATABASES.get(manifest.database, "")}
    if not wanted <= set(names) or not all(name in wanted or is_of_media(name) for name in names):
        raise Refused(DAMAGED.format(what="it does not name the files that belong into one"))
    return manifest


def is_of_media(name: str) -> bool:
    """Whether it is a file below media, and stays there when it is unpacked.

    >>> is_of_media("media/photos/2026/11/one.jpg"), is_of_media("media/../secret.key"), is_of_media("/etc/passwd")
    (True, False, False)
    """
    parts = PurePosixPath(name).parts
    return len(parts) > 1 and parts[0] == MEDIA and ".." not in parts and name == "/".join(parts) and "\0" not in name


def not_known_here(manifest: Manifest, known: Collection[str]) -> list[str]:
    """Migrations that only a newer edition has."""
    return sorted(set(manifest.migrations) - set(known))


def _manifest(given: dict[str, Any]) -> Manifest:
    files = [FileKept(str(one["name"]), int(one["size_bytes"]), str(one["sha256"])) for one in given["files"]]
    migrations = tuple(str(one) for one in given["migrations"])
    made_at = datetime.fromisoformat(given["made_at"])
    return Manifest(made_at, str(given["why"]), str(given["database"]), migrations, tuple(files))
