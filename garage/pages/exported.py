"""What a row becomes in a file that is handed out: plain values, the files it keeps, and what its fields mean."""

from __future__ import annotations

import gzip
from collections.abc import Iterator, Sequence
from pathlib import PurePosixPath
from typing import Any, TypeAlias
from zipfile import ZipFile

from django.core.files.base import File
from django.db import models
from django.db.models import Field, Model

# The ways in: of people, to owners' pages, calendars and the wall; and marks of browsers, of no meaning outside.
NOT_GIVEN = frozenset(
    {"password", "link_generation", "feed_generation", "wall_generation", "browser", "address_key", "key_mark"}
)
PIECE_BYTES = 1 << 16

AnyField: TypeAlias = "Field[Any, Any]"


def fields_of(model: type[Model]) -> list[AnyField]:
    return [field for field in model._meta.concrete_fields if field.name not in NOT_GIVEN]


def values_of(row: Model, fields: Sequence[AnyField], folder: str) -> dict[str, object]:
    """folder: of the row's files in the archive."""
    return {field.name: _value(row, field, folder) for field in fields}


def keeps_file(field: AnyField) -> bool:
    return isinstance(field, models.FileField | models.BinaryField)


def write_files(archive: ZipFile, row: Model, fields: Sequence[AnyField], folder: str) -> None:
    """A file that is lost here is left out: its path says that there was one."""
    for field in filter(keeps_file, fields):
        path = _path(row, field, folder)
        if path is None:
            continue
        value = getattr(row, field.attname)
        if isinstance(field, models.BinaryField):
            is_packed = field.name in getattr(type(row), "packed_by_gzip", ())
            archive.writestr(path, gzip.decompress(bytes(value)) if is_packed else bytes(value))
        elif value.storage.exists(value.name):
            with archive.open(path, "w", force_zip64=True) as into:
                for piece in _pieces(value):
                    into.write(piece)


def words_about(model: type[Model], fields: Sequence[AnyField], called: str) -> list[str]:
    """Lines of a read-me, from where each field is kept."""
    said = " ".join((model.__doc__ or "").split())
    helps = [f"  {field.name}: {field.help_text}" for field in fields if field.help_text]
    return [called + ("" if said.startswith(f"{model.__name__}(") else f": {said}"), *helps]


def _value(row: Model, field: AnyField, folder: str) -> object:
    return _path(row, field, folder) if keeps_file(field) else getattr(row, field.attname)


def _path(row: Model, field: AnyField, folder: str) -> str | None:
    """In the ZIP file. The ending is that of what is kept."""
    value = getattr(row, field.attname)
    if not value:
        return None
    kept_as = value.name if isinstance(field, models.FileField) else getattr(row, "name", "")
    return f"{folder}/{row.pk}{PurePosixPath(kept_as or '').suffix}"


def _pieces(file: File[bytes]) -> Iterator[bytes]:
    with file.open("rb") as opened:
        while piece := opened.read(PIECE_BYTES):
            yield piece
