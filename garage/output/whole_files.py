"""The media on disk: a file has its name once it is whole, so a disk that fills up leaves no half of one."""

from __future__ import annotations

import contextlib
import os
import uuid
from typing import Any

from django.core.files.base import File
from django.core.files.storage import FileSystemStorage


class WholeFileStorage(FileSystemStorage):
    def _save(self, name: str, content: File[Any]) -> str:
        """The name is taken first, by an empty file that nobody else can make, and filled by a rename."""
        part = f"{name}.{uuid.uuid4().hex}.part"
        try:
            self._written(part, content)
            free = self._taken(name)
            os.replace(self.path(part), self.path(free))
        except BaseException:
            with contextlib.suppress(OSError):
                os.remove(self.path(part))
            raise
        return free

    def _written(self, part: str, content: File[Any]) -> None:
        super()._save(part, content)  # type: ignore[misc]  # not in the stubs

    def _taken(self, name: str) -> str:
        while True:
            try:
                os.close(os.open(self.path(name), os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600))
            except FileExistsError:
                name = self.get_available_name(name)
            else:
                return name
