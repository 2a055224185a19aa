"""No file stays without its row: what was written for a transaction that failed goes again."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator

from django.db.models.fields.files import FieldFile


@contextlib.contextmanager
def gone_without_their_rows() -> Iterator[list[FieldFile]]:
    """Around the transaction, since a full disk is often met at its end. What is saved goes on the list."""
    kept: list[FieldFile] = []
    try:
        yield kept
    except BaseException:
        for file in kept:
            with contextlib.suppress(OSError):
                if file.name:
                    file.storage.delete(file.name)
        raise
