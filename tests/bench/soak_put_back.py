"""The garage that a month at random leaves, backed up and put back elsewhere: each table's rows and each file alike."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path

from tests.prepared import manage
from tests.servers import Garage, resting_garage

EACH_TABLE = """
import hashlib, json
from django.db import connection
found = {}
with connection.cursor() as cursor:
    for table in sorted(connection.introspection.table_names()):
        cursor.execute(f'select * from "{table}"')
        rows = sorted(repr([bytes(v) if isinstance(v, memoryview) else v for v in row]) for row in cursor.fetchall())
        found[table] = [len(rows), hashlib.sha256("\\n".join(rows).encode()).hexdigest()]
print("TABLES", json.dumps(found))
"""


def what_differs(data: Path, database_url: str, other: Path, other_url: str) -> str:
    """Empty if nothing does. other: a folder that is not there yet, and an empty database."""
    other.mkdir()
    manage(data, "backup", database_url=database_url)
    (file,) = (data / "backups").glob("*.zip")
    manage(other, "restore", str(file), database_url=other_url)
    with resting_garage(data, database_url) as was, resting_garage(other, other_url) as put_back:
        tables, again = _tables(was), _tables(put_back)
    wrong = [
        f"{name}: {tables.get(name)} and {again.get(name)}"
        for name in tables | again
        if tables.get(name) != again.get(name)
    ]
    files, files_again = _files(data), _files(other)
    wrong += sorted(name for name in files | files_again if files.get(name) != files_again.get(name))
    return "; ".join(wrong)


def _tables(garage: Garage) -> dict[str, list[object]]:
    found: dict[str, list[object]] = json.loads(garage.shell(EACH_TABLE).split("TABLES ")[1])
    return found


def _files(data: Path) -> dict[str, str]:
    media = data / "media"
    return {
        str(path.relative_to(media)): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in media.rglob("*")
        if path.is_file()
    }
