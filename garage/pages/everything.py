"""Everything that the garage keeps, as one ZIP file, for whoever leaves Tickover: JSON by table, and the files."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from datetime import datetime
from graphlib import TopologicalSorter
from tempfile import TemporaryFile
from typing import IO, Any
from zipfile import ZipFile

from django.apps import apps
from django.core.serializers.json import DjangoJSONEncoder
from django.db.models import Model

from garage.pages.exported import AnyField, fields_of, keeps_file, values_of, words_about, write_files
from garage.running.logs import without_tokens

# By label: what lets somebody in, or counts who tries to, and Django's own tables, which hold nothing of the garage's.
LEFT_OUT = frozenset(
    {
        *("garage.SecondFactor", "garage.SpareCode", "garage.StartCode", "garage.BrowserSession", "sessions.Session"),
        *("garage.Attempt", "garage.HoldBegun"),
        *("auth.Permission", "auth.Group", "auth.Group_permissions", "contenttypes.ContentType"),
        *("garage.Person_groups", "garage.Person_user_permissions"),
    }
)
DATA, FILES, READ_ME = "data", "files", "read-me.txt"
AT_ONCE = 500  # rows held in memory
FILES_AT_ONCE = 4  # rows that hold a file themselves, of some megabytes each
PIECE_BYTES = 1 << 16

TellRows = Callable[[int], object]


def tables() -> list[type[Model]]:
    """What names another table comes before it. The garage works on meanwhile: whatever a row names is then found."""
    given = {model for model in apps.get_models(include_auto_created=True) if model._meta.label not in LEFT_OUT}
    named_by = {model: {other for other in given if model in _named(other) and other is not model} for model in given}
    in_order = sorted(named_by, key=lambda model: model._meta.label)
    return list(TopologicalSorter({model: sorted(named_by[model], key=str) for model in in_order}).static_order())


def count_everything() -> int:
    return sum(model._default_manager.count() for model in tables())


def write_everything(archive: ZipFile, *, shop_name: str, now: datetime, progress: TellRows) -> None:
    """progress: told how many rows are written, after each handful. What is held in memory does not grow with the
    garage.
    """
    done = 0
    archive.writestr(READ_ME, _read_me(shop_name, now))
    for model in tables():
        with TemporaryFile() as lines:
            for written in _write_table(archive, model, lines):
                done += written
                progress(done)
            lines.seek(0)
            with archive.open(f"{DATA}/{_called(model)}.json", "w", force_zip64=True) as into:
                while piece := lines.read(PIECE_BYTES):
                    into.write(piece)


def file_name(now: datetime) -> str:
    return f"everything-{now:%Y-%m-%d}.zip"


def _write_table(archive: ZipFile, model: type[Model], lines: IO[bytes]) -> Iterator[int]:
    """A JSON list with a row a line. Its files go into the archive at once; how many rows, after each handful."""
    fields, folder = fields_of(model), f"{FILES}/{_called(model)}"
    before = b"[\n"
    for rows in _handfuls(model, FILES_AT_ONCE if any(map(keeps_file, fields)) else AT_ONCE):
        for row in rows:
            write_files(archive, row, fields, folder)
            values = _without_links(values_of(row, fields, folder))
            lines.write(before + json.dumps(values, cls=DjangoJSONEncoder, ensure_ascii=False).encode())
            before = b",\n"
        yield len(rows)
    lines.write(b"[]\n" if before == b"[\n" else b"\n]\n")


def _handfuls(model: type[Model], size: int) -> Iterator[list[Any]]:
    """By their ids, so that no query and no snapshot stays open while files are written."""
    all_rows = model._base_manager.order_by("pk")
    rows = list(all_rows[:size])
    while rows:
        yield rows
        rows = list(all_rows.filter(pk__gt=rows[-1].pk)[:size])


def _without_links(value: Any) -> Any:
    """Mails have the personal links that they were sent with."""
    if isinstance(value, str):
        return without_tokens(value)
    if isinstance(value, dict):
        return {key: _without_links(each) for key, each in value.items()}
    return [_without_links(each) for each in value] if isinstance(value, list) else value


def _named(model: type[Model]) -> set[Any]:
    return {field.related_model for field in model._meta.concrete_fields if field.related_model}


def _called(model: type[Model]) -> str:
    return model._meta.label_lower


def _read_me(shop_name: str, now: datetime) -> str:
    """What the keys mean, from where each is kept."""
    lines = [
        f"Everything that {shop_name} keeps in Tickover, begun at {now:%d %B %Y, %H:%M} UTC.",
        "",
        f"{DATA}/ has a file for each table: a JSON list (RFC 8259, UTF-8) with a record a line. A key that names",
        "another record, such as visit, holds that record's id; the list below says of which table. Times are UTC",
        "(ISO 8601), money is text, in the currency of the invoice or else of the shop.",
        f"{FILES}/ has the files, in a folder for each table: the key holds the path. One that is not there was lost.",
        "The garage worked on meanwhile: a record may be newer than the time above. What it names is in here too.",
        "",
        "Left out: passwords, second factors, sessions, codes, the keys of links and of secret addresses. Where a mail",
        "had a personal link, it has … now. They would let somebody in, and elsewhere they are of no use.",
        "",
    ]
    for model in sorted(tables(), key=_called):
        fields = fields_of(model)
        lines += words_about(model, fields, f"{_called(model)} ({', '.join(map(_words_of, fields))})")
    return "\n".join(lines) + "\n"


def _words_of(field: AnyField) -> str:
    other = field.related_model
    return f"{field.name}: id of {other._meta.label_lower}" if isinstance(other, type) else field.name
