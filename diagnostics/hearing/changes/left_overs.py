"""What is of no use any more: clips that cannot be heard, and sounds that belong to no clip, which a machine that was
switched off between two steps leaves behind.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import PurePosixPath

from django.core.files.storage import Storage

from diagnostics.hearing.changes.clips import delete
from diagnostics.hearing.models.clips import Clip
from garage.core.errors import Refused
from garage.models.actors import SYSTEM

FOLDER = "clips"
LEFT_FOR = timedelta(hours=1)  # longer than taking a clip in takes, whose file is there before its row

UNHEARD_KEPT = timedelta(days=1)  # after it was tried: long enough to read why, and to listen to it oneself


def forget_unheard(now: datetime) -> int:
    """Deletes clips that cannot be heard, but not those of which a person has said what they hear. Says how many."""
    forgotten = 0
    for clip in Clip.objects.filter(state=Clip.NOT_HEARD, own_verdict="", begun_at__lt=now - UNHEARD_KEPT):
        try:
            delete(clip, by=SYSTEM, now=now)
        except Refused:  # a person was quicker
            continue
        forgotten += 1
    return forgotten


def forget_sounds(now: datetime) -> int:
    """Deletes them and says how many: a deleted clip is gone whatever went wrong on the way."""
    storage = Clip._meta.get_field("file").storage
    kept = set(Clip.objects.values_list("file", flat=True))
    forgotten = 0
    for name in _files(storage, FOLDER):
        if name not in kept and storage.get_modified_time(name) < now - LEFT_FOR:
            storage.delete(name)
            forgotten += 1
    return forgotten


def _files(storage: Storage, folder: str) -> list[str]:
    if not storage.exists(folder):
        return []
    folders, files = storage.listdir(folder)
    found = [str(PurePosixPath(folder, name)) for name in files]
    for each in folders:
        found += _files(storage, str(PurePosixPath(folder, each)))
    return found
