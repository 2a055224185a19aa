import json
from datetime import UTC, datetime

import pytest

from garage.core.backups.manifest import FileKept, Manifest, is_of_media, not_known_here, read_manifest
from garage.core.errors import Refused

WHOLE = Manifest(
    made_at=datetime(2026, 11, 30, 3, 15, tzinfo=UTC),
    why="daily",
    database="sqlite",
    migrations=("garage.0001_initial", "jobs.0001_initial"),
    files=(
        FileKept("database.sqlite3", 4096, "ab"),
        FileKept("media/photos/2026/11/one.jpg", 10, "cd"),
        FileKept("secret.key", 86, "ef"),
    ),
)


def changed(**given):
    return json.dumps(json.loads(WHOLE.to_json()) | given).encode()


def test_it_is_read_back_as_it_was_written():
    assert read_manifest(WHOLE.to_json().encode()) == WHOLE
    assert WHOLE.size_bytes == 4192


@pytest.mark.parametrize(
    "text",
    [
        b"",
        b"\xff\xfe",
        b"null",
        b"[]",
        b"3",
        b'"' + b"x" * 50,
        b"[" * 3000,
        changed(files=None),
        changed(files=[]),
        changed(files=[{"name": "database.sqlite3"}]),
        changed(made_at="yesterday"),
        changed(made_at=5),
        changed(migrations=3),
        changed(database="another"),
        changed(database=["sqlite"]),
        changed(files=[{"name": "database.sqlite3", "size_bytes": "many", "sha256": ""}]),
    ],
)
def test_one_that_cannot_be_read_is_called_damaged(text):
    with pytest.raises(Refused, match="This backup is damaged"):
        read_manifest(text)


def test_one_of_a_later_format_is_of_a_newer_edition():
    with pytest.raises(Refused, match="made by a newer Tickover"):
        read_manifest(changed(format=2, files="something else by then"))


@pytest.mark.parametrize(
    "name",
    [
        "/etc/passwd",
        "media",
        "media/",
        "media/../secret.key",
        "media//one.jpg",
        "./media/one.jpg",
        "other",
        "media/a\0b",
    ],
)
def test_a_name_outside_of_media_is_none_of_a_backup(name):
    assert not is_of_media(name)
    files = json.loads(WHOLE.to_json())["files"]
    with pytest.raises(Refused, match="damaged"):
        read_manifest(changed(files=[*files, {"name": name, "size_bytes": 1, "sha256": ""}]))


def test_what_only_a_newer_edition_has_is_named():
    assert not_known_here(WHOLE, {"garage.0001_initial", "garage.0002_more"}) == ["jobs.0001_initial"]
    assert not_known_here(WHOLE, set(WHOLE.migrations)) == []
