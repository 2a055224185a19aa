"""Puts a backup in the place of what is there, or leaves all as it is.

Everything is unpacked and checked beside the garage first. Then follow three steps that are short or one transaction;
a mark stands while they last, so that a garage that was cut off in between does not start half old and half new.
"""

from __future__ import annotations

import contextlib
import errno
import os
import shutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from django.conf import settings

from garage.core.backups.kept import WhyMade
from garage.core.backups.manifest import DATABASES, KEYS, MEDIA, Manifest, not_known_here
from garage.core.errors import Refused
from garage.running import keys, running_lock
from garage.running.backups import archive, databases, postgresql, sqlite, what_is_here
from garage.running.backups.making import back_up, megabytes
from garage.running.backups.what_is_here import WhatIsHere
from garage.running.machine import Unfit

IN_HAND, MARK = "restore-in-hand", "restore-unfinished"
NOT_OF_THE_BACKUP = ("demo-log-ins.txt", "demo-unfinished")  # they tell of the garage that was here


@dataclass(frozen=True)
class Restored:
    """copied_to: where what was here before lies; None if there was nothing. keys_count: whether links of it open."""

    manifest: Manifest
    copied_to: Path | None
    keys_count: bool


def restore(path: Path, *, over: bool, now: datetime, tell: Callable[[str], None]) -> Restored:
    """over: also where there is a garage already; a copy of it is made first. tell: is told of each part as it begins.
    Raises Refused, and then, but for one sentence that says so, nothing has changed.
    """
    try:
        settings.DATA.mkdir(mode=0o700, parents=True, exist_ok=True)
        with running_lock.held_meanwhile(settings.DATA, says="a backup is being put back"), _in_hand() as folder:
            manifest = _fitting(path)
            here = what_is_here.look()
            _refuse_to_lose(here, over=over)
            tell(f"1 of 4: unpacking {len(manifest.files)} files, {megabytes(manifest.size_bytes)}, and checking each.")
            archive.unpack(path, manifest, folder)
            tell("2 of 4: checking the database of the backup.")
            databases.check(folder / DATABASES[manifest.database])
            tell(f"3 of 4: {'nothing is here to copy' if here is WhatIsHere.NOTHING else 'copying what is here'}.")
            copied_to = _set_aside(here, now=now)
            tell("4 of 4: putting it in place.")
            _put_in_place(manifest, folder, path)
            return Restored(manifest, copied_to, _keys_count())
    except Unfit as sentence:
        raise Refused(str(sentence)) from sentence
    except OSError as error:
        raise Refused(_trouble(error, path)) from error


def cut_short(data: Path) -> str:
    """What to say of a garage in which a restore has not come to its end; empty if there is none."""
    with contextlib.suppress(FileNotFoundError):
        backup = (data / MARK).read_text(encoding="utf-8")
        said = "A backup was being put back here, and that was cut short. Do it again"
        return f"{said}: make restore OVER=yes FILE={backup}"
    return ""


def _fitting(path: Path) -> Manifest:
    manifest = archive.read(path)
    kind = databases.kind_here()
    if manifest.database != kind:
        raise Refused(
            f"This backup is of a garage on {_KIND_WORDS[manifest.database]}, and DATABASE_URL here says "
            f"{_KIND_WORDS[kind]}. Set DATABASE_URL to that kind first."
        )
    if not_known_here(manifest, databases.migrations_known()):
        raise Refused("This backup was made by a newer Tickover. Update this one first, then put the backup back.")
    needed, free = 2 * manifest.size_bytes, archive.free_bytes(settings.DATA)
    if free < needed:
        raise Refused(
            f"There is no room in {settings.DATA}: {megabytes(needed)} are needed meanwhile and {megabytes(free)} are "
            "free."
        )
    return manifest


_KIND_WORDS = {"sqlite": "SQLite", "postgresql": "PostgreSQL"}


def _refuse_to_lose(here: WhatIsHere, *, over: bool) -> None:
    if not databases.is_sqlite() and (others := postgresql.others_connected()):
        raise Refused(f"Others are connected to the database ({others}). Stop every Tickover that uses it first.")
    if here is not WhatIsHere.NOTHING and not over:
        raise Refused(
            f"There is a garage in {settings.DATA} already. To put the backup in its place say --over (make restore "
            "OVER=yes): a copy of what is there is made first."
        )


def _set_aside(here: WhatIsHere, *, now: datetime) -> Path | None:
    if here is WhatIsHere.NOTHING or cut_short(settings.DATA):  # the first try has made the copy
        return None
    if here is not WhatIsHere.UNREADABLE:
        with contextlib.suppress(sqlite.NotSound):
            return back_up(WhyMade.BEFORE_RESTORE, now=now)
    return what_is_here.keep_unreadable(now=now)


def _put_in_place(manifest: Manifest, folder: Path, path: Path) -> None:
    mark = settings.DATA / MARK
    was_cut_short = mark.exists()
    try:
        _write_through(mark, str(path.resolve()))
        databases.put_in_place(folder / DATABASES[manifest.database], folder=folder)
    except Refused:  # nothing was put in place
        if not was_cut_short:
            mark.unlink(missing_ok=True)
        raise
    _exchange(Path(settings.MEDIA_ROOT), folder)
    keys.write_keys(settings.DATA, _lines(folder / KEYS))
    for name in NOT_OF_THE_BACKUP:
        (settings.DATA / name).unlink(missing_ok=True)
    keys.keep_names(settings.DATA)
    mark.unlink()


def _write_through(mark: Path, words: str) -> None:
    """On the disk before anything is put in place, so that a power cut cannot lose it alone."""
    try:
        with mark.open("w", encoding="utf-8") as file:
            file.write(words)
            file.flush()
            os.fsync(file.fileno())
        keys.keep_names(mark.parent)
    except OSError as error:
        raise Refused(f"The backup could not be put back: {mark}: {error.strerror}. Nothing was changed.") from error


def _exchange(media: Path, folder: Path) -> None:
    """Child by child: the folder itself may be where a disk is mounted."""
    old, new = folder / "media-of-before", folder / MEDIA
    for place in (media, old, new):
        place.mkdir(mode=0o700, parents=True, exist_ok=True)
    for source, target in ((media, old), (new, media)):
        for child in list(source.iterdir()):
            shutil.move(child, target / child.name)
    keys.keep_names(media)


def _keys_count() -> bool:
    """A key that is given by the environment stands before the file's."""
    if not settings.KEY_IS_GIVEN:
        return True
    in_force = {settings.SECRET_KEY, *settings.SECRET_KEY_FALLBACKS}
    return keys.kept_keys(settings.DATA)[0] in in_force


def _lines(path: Path) -> list[str]:
    return [line for line in path.read_text(encoding="utf-8").splitlines() if line]


@contextlib.contextmanager
def _in_hand() -> Iterator[Path]:
    folder: Path = settings.DATA / IN_HAND
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(mode=0o700)
    try:
        yield folder
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _trouble(error: OSError, path: Path) -> str:
    what = "The disk is full" if error.errno in (errno.ENOSPC, errno.EDQUOT) else f"{error.filename}: {error.strerror}"
    if error.errno == errno.ENOENT and error.filename == str(path):
        return f"There is no file {path}."
    after = cut_short(settings.DATA)
    return f"The backup could not be put back: {what}. {after or 'Nothing was changed.'}"
