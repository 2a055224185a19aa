"""All that there is about one owner, as one ZIP file: for people to read and for programs to take over."""

from __future__ import annotations

import gzip
import json
from collections.abc import Iterator, Sequence
from datetime import datetime
from pathlib import PurePosixPath
from typing import IO, Any
from zipfile import ZIP_DEFLATED, ZipFile

from django.core.files.base import File
from django.core.serializers.json import DjangoJSONEncoder
from django.db import models
from django.db.models import Field, Model

from garage.models.owners import Owner
from garage.models.people import Person
from garage.reads.about_owner import rows_about, with_doubles

NOT_GIVEN = {"link_generation", "browser", "address_key"}  # of no meaning outside, or the way in to a page
DATA, READ_ME = "data.json", "read-me.txt"
PIECE_BYTES = 1 << 16


def write_owner_data(out: IO[bytes], owner: Owner, *, shop_name: str, now: datetime) -> None:
    """The ZIP file into out: data.json, read-me.txt, and the files that the data names, in folders by kind."""
    owners = with_doubles(owner)
    found = [list(rows) for rows in rows_about(owners)]
    values = {_called(rows[0]): [_values(row) for row in rows] for rows in found}
    whole = {"from": shop_name, "made_at": now, "form": 1, "data": values}
    with ZipFile(out, "w", ZIP_DEFLATED) as archive:
        archive.writestr(READ_ME, _read_me([rows[0] for rows in found], owners[0].name, shop_name, now))
        archive.writestr(DATA, json.dumps(whole, cls=DjangoJSONEncoder, ensure_ascii=False, indent=1))
        for rows in found:
            for row in rows:
                _write_files(archive, row)


def file_name(owner: Owner, now: datetime) -> str:
    return f"owner-{owner.pk}-{now:%Y-%m-%d}.zip"


def _called(row: Model) -> str:
    return str(row._meta.verbose_name_plural).replace(" ", "_")


def _fields(row: Model) -> list[Field[Any, Any]]:
    """Without who of the workshop did it: that is about somebody else."""
    fields: Sequence[Field[Any, Any]] = row._meta.concrete_fields
    return [one for one in fields if one.name not in NOT_GIVEN and one.related_model is not Person]


def _values(row: Model) -> dict[str, object]:
    return {field.name: _value(row, field) for field in _fields(row)}


def _value(row: Model, field: Field[Any, Any]) -> object:
    if isinstance(field, models.FileField | models.BinaryField):
        return _path(row, field)
    return getattr(row, field.attname)


def _path(row: Model, field: Field[Any, Any]) -> str | None:
    """In the ZIP file. The ending is that of what is kept."""
    value = getattr(row, field.attname)
    if not value:
        return None
    kept_as = value.name if isinstance(field, models.FileField) else getattr(row, "name", "")
    return f"{_called(row)}/{row.pk}{PurePosixPath(kept_as or '').suffix}"


def _write_files(archive: ZipFile, row: Model) -> None:
    for field in _fields(row):
        path = _path(row, field) if isinstance(field, models.FileField | models.BinaryField) else None
        if path is None:
            continue
        value = getattr(row, field.attname)
        if isinstance(field, models.BinaryField):
            is_packed = field.name in getattr(type(row), "packed_by_gzip", ())
            archive.writestr(path, gzip.decompress(bytes(value)) if is_packed else bytes(value))
        elif value.storage.exists(value.name):
            with archive.open(path, "w") as into:
                for piece in _pieces(value):
                    into.write(piece)


def _pieces(file: File[bytes]) -> Iterator[bytes]:
    with file.open("rb") as opened:
        while piece := opened.read(PIECE_BYTES):
            yield piece


def _read_me(kinds: Sequence[Model], name: str, shop_name: str, now: datetime) -> str:
    """What the keys mean, from where each is kept."""
    lines = [
        f"What {shop_name} keeps about {name}, as of {now:%d %B %Y}.",
        "",
        f'{DATA} has it all under "data", a list for each kind of record. A key that names another record, such as',
        "visit or machine, holds that record's id. Times are UTC (ISO 8601), money is in pounds. Files lie beside it,",
        "in a folder for each kind: the key holds the path.",
        "",
    ]
    for row in kinds:
        said = " ".join((type(row).__doc__ or "").split())
        lines.append(_called(row) + ("" if said.startswith(f"{type(row).__name__}(") else f": {said}"))
        helps = [(field.name, str(field.help_text)) for field in _fields(row) if field.help_text]
        lines += [f"  {key}: {words}" for key, words in helps]
    return "\n".join(lines) + "\n"
