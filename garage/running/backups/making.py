"""Makes a backup: media, database and keys in one file that is whole, or not there.

Media are packed twice: what is there before the database is copied, and what came until then. A row of the copy then
finds its file, although owners send photos and people delete them meanwhile.
"""

from __future__ import annotations

import contextlib
import errno
import stat
import zipfile
from collections.abc import Iterable
from datetime import datetime
from pathlib import Path

from django.conf import settings

from garage.core.backups.kept import BackupName, WhyMade
from garage.core.backups.manifest import DATABASES, KEYS, MEDIA, FileKept, Manifest
from garage.core.errors import Refused
from garage.running.backups import archive, databases
from garage.running.backups.folder import UNFINISHED, drop_superfluous, forget_failure, one_at_a_time
from garage.running.keys import keep_names

YOUNG_S = 5.0  # s after its last write a file may still be being written: it is packed with what comes later
SPARE_BYTES = 5_000_000  # left free for those who work meanwhile


def back_up(why: WhyMade, *, now: datetime) -> Path:
    """The file. Raises Refused with what is in the way; then there is none, and the ones of before are all there."""
    databases.refuse_without_one()
    try:
        with one_at_a_time() as folder:
            _ask_for_room(folder)
            made = _made(folder, BackupName(now, why))
            if why is not WhyMade.BEFORE_RESTORE:  # what is to be put back may be the oldest of its kind
                drop_superfluous()
    except OSError as error:
        raise Refused(_trouble(error)) from error
    forget_failure()
    return made


def _made(folder: Path, name: BackupName) -> Path:
    unfinished, database = folder / f"{name}{UNFINISHED}", folder / f"database{UNFINISHED}"
    try:
        with archive.new_archive(unfinished) as packed:
            manifest = _packed(packed, name, database)
            archive.put_manifest(packed, manifest)
        archive.unpack(unfinished, archive.read(unfinished), None)
        unfinished.replace(folder / str(name))
        keep_names(folder)
    finally:
        for left in (unfinished, database):
            left.unlink(missing_ok=True)
    return folder / str(name)


def _packed(packed: zipfile.ZipFile, name: BackupName, database: Path) -> Manifest:
    kind = databases.kind_here()
    old_until = name.at.timestamp() - YOUNG_S
    media = _put_media(packed, [path for path, (_, written_at) in _media().items() if written_at < old_until])
    migrations = databases.migrations_here()
    databases.copy(database)
    kept = [archive.put(packed, DATABASES[kind], database)]
    database.unlink()
    media |= _put_media(packed, [path for path in _media() if path not in media])
    kept.append(_put_keys(packed))
    return Manifest(name.at, name.why.value, kind, migrations, (*kept, *media.values()))


def _put_media(packed: zipfile.ZipFile, paths: Iterable[Path]) -> dict[Path, FileKept]:
    put = {}
    for path in paths:
        name = f"{MEDIA}/{path.relative_to(settings.MEDIA_ROOT).as_posix()}"
        with contextlib.suppress(FileNotFoundError):  # deleted since, and its row before it
            put[path] = archive.put(packed, name, path)
    return put


def _put_keys(packed: zipfile.ZipFile) -> FileKept:
    """Those in force, wherever they come from: without them no link of this garage would open."""
    return archive.put_text(packed, KEYS, "\n".join([settings.SECRET_KEY, *settings.SECRET_KEY_FALLBACKS]))


def _media() -> dict[Path, tuple[int, float]]:
    """Each file there is, with its size in bytes and the time of its last write."""
    found = {}
    for path in sorted(Path(settings.MEDIA_ROOT).rglob("*")):
        with contextlib.suppress(FileNotFoundError):
            about = path.lstat()
            if stat.S_ISREG(about.st_mode):
                found[path] = (about.st_size, about.st_mtime)
    return found


def _ask_for_room(folder: Path) -> None:
    """A SQLite database is copied before it is packed, so that it counts twice; a PostgreSQL one is larger than its
    dump.
    """
    needed = 2 * databases.size_bytes() + sum(size_bytes for size_bytes, _ in _media().values()) + SPARE_BYTES
    free = archive.free_bytes(folder)
    if free < needed:
        raise Refused(
            f"There is no room for a backup in {folder}: it needs up to {megabytes(needed)} and {megabytes(free)} "
            "are free. Make room, or choose another disk with BACKUPS=/path."
        )


def megabytes(size_bytes: int) -> str:
    return f"{size_bytes / 1e6:.{1 if size_bytes < 10e6 else 0}f} MB"


def _trouble(error: OSError) -> str:
    if error.errno in (errno.ENOSPC, errno.EDQUOT):
        return f"The disk of {settings.BACKUPS} became full while the backup was written. Nothing half made is left."
    where = error.filename or settings.BACKUPS
    return f"The backup could not be written: {where}: {error.strerror}."
