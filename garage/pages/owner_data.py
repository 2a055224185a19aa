"""All that there is about one owner, as one ZIP file: for people to read and for programs to take over."""

from __future__ import annotations

import json
from collections.abc import Sequence
from datetime import datetime
from typing import IO
from zipfile import ZIP_DEFLATED, ZipFile

from django.core.serializers.json import DjangoJSONEncoder
from django.db.models import Model

from garage.models.owners import Owner
from garage.models.people import Person
from garage.pages.exported import AnyField, fields_of, values_of, words_about, write_files
from garage.reads.about_owner import rows_about, with_doubles

DATA, READ_ME = "data.json", "read-me.txt"


def write_owner_data(out: IO[bytes], owner: Owner, *, shop_name: str, now: datetime) -> None:
    """The ZIP file into out: data.json, read-me.txt, and the files that the data names, in folders by kind."""
    owners = with_doubles(owner)
    found = [list(rows) for rows in rows_about(owners)]
    values = {_called(rows[0]): [values_of(row, _fields(row), _called(row)) for row in rows] for rows in found}
    whole = {"from": shop_name, "made_at": now, "form": 1, "data": values}
    with ZipFile(out, "w", ZIP_DEFLATED) as archive:
        archive.writestr(READ_ME, _read_me([rows[0] for rows in found], owners[0].name, shop_name, now))
        archive.writestr(DATA, json.dumps(whole, cls=DjangoJSONEncoder, ensure_ascii=False, indent=1))
        for rows in found:
            for row in rows:
                write_files(archive, row, _fields(row), _called(row))


def file_name(owner: Owner, now: datetime) -> str:
    return f"owner-{owner.pk}-{now:%Y-%m-%d}.zip"


def _called(row: Model) -> str:
    return str(row._meta.verbose_name_plural).replace(" ", "_")


def _fields(row: Model) -> list[AnyField]:
    """Without who of the workshop did it: that is about somebody else."""
    return [field for field in fields_of(type(row)) if field.related_model is not Person]


def _read_me(kinds: Sequence[Model], name: str, shop_name: str, now: datetime) -> str:
    """What the keys mean, from where each is kept."""
    lines = [
        f"What {shop_name} keeps about {name}, as of {now:%d %B %Y}.",
        "",
        f'{DATA} has it all under "data", a list for each kind of record. A key that names another record, such as',
        "visit or machine, holds that record's id. Times are UTC (ISO 8601), money is text, in the currency of the",
        "invoice or else of the garage. Files lie beside it, in a folder for each kind: the key holds the path.",
        "",
    ]
    for row in kinds:
        lines += words_about(type(row), _fields(row), _called(row))
    return "\n".join(lines) + "\n"
