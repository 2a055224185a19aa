"""Sounds that no clip holds any more: a machine that was switched off between two steps leaves them behind."""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import PurePosixPath

from django.core.files.storage import Storage

from diagnostics.hearing.models.clips import Clip

FOLDER = "clips"
LEFT_FOR = timedelta(hours=1)  # longer than any taking-in takes, whose file is there before its row


def forget_sounds(now: datetime) -> int:
    """How many files were deleted, so that what was deleted is gone whatever came between."""
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
