"""Files that belong to no row any more: a machine that was switched off between two steps leaves them behind."""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import PurePosixPath

from django.core.files.storage import Storage
from django.db.models import Model

LEFT_FOR = timedelta(hours=1)  # longer than taking one in takes, whose file is there before its row


def forget_files(model: type[Model], *, folder: str, now: datetime) -> int:
    """Deletes those in the folder that no row of the model has as its `file`, and says how many: what is deleted is
    gone, whatever went wrong on the way.
    """
    storage: Storage = model._meta.get_field("file").storage  # type: ignore[union-attr]  # each of them is a FileField
    kept = set(model._default_manager.values_list("file", flat=True))
    forgotten = 0
    for name in _files(storage, folder):
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
