"""What `restore` says of a file that it does not put back; that it does, tests/garage/running/backups/ tries.

The backups made here are of SQLite: they are asked of the garage that `make test` has first.
"""

import sqlite3
import zipfile
from contextlib import closing
from datetime import UTC, datetime

import pytest
from django.core.management import CommandError, call_command

from garage.core.backups.kept import BackupName, WhyMade
from garage.core.backups.manifest import FileKept, Manifest
from garage.running import running_lock
from garage.running.backups import archive, databases

pytestmark = pytest.mark.django_db  # the database of the tests, whatever stands in the folder of this checkout

AT = datetime(2026, 11, 30, 3, 15, tzinfo=UTC)

LOCKS = {f"running-{part}.lock" for part in running_lock.EVERY}  # held while it is tried


@pytest.fixture
def data(settings, tmp_path):
    folder = tmp_path / "garage"
    folder.mkdir()
    settings.DATA, settings.MEDIA_ROOT, settings.BACKUPS = folder, folder / "media", folder / "backups"
    return folder


@pytest.fixture
def backup(tmp_path):
    """Whole, of a database with one table, a photo and a key."""
    database, photo, path = tmp_path / "database", tmp_path / "photo.jpg", tmp_path / "backup.zip"
    with closing(sqlite3.connect(database)) as made:
        made.execute("create table things (name text)")
    photo.write_bytes(b"a photo" * 1000)
    with archive.new_archive(path) as packed:
        files = (
            archive.put(packed, "database.sqlite3", database),
            archive.put(packed, "media/photos/photo.jpg", photo),
            archive.put_text(packed, "secret.key", "a-key"),
        )
        archive.put_manifest(packed, Manifest(AT, "daily", "sqlite", ("garage.0001_initial",), files))
    return path


def refused(*arguments):
    with pytest.raises(CommandError) as found:
        call_command("restore", *map(str, arguments))
    assert "\n" not in str(found.value)
    return str(found.value)


def damaged(path):
    content = bytearray(path.read_bytes())
    content[content.index(b"a photo") + 3000] ^= 1
    return bytes(content)


def other_manifest(to, path, old, new):
    with zipfile.ZipFile(path) as packed, zipfile.ZipFile(to, "w") as other:
        for name in packed.namelist():
            content = packed.read(name)
            assert name != "manifest.json" or old in content
            other.writestr(name, content.replace(old, new) if name == "manifest.json" else content)


def of_postgresql(to):
    files = (FileKept("database.dump", 0, ""), FileKept("secret.key", 0, ""))
    with zipfile.ZipFile(to, "w") as other:
        archive.put_manifest(other, Manifest(AT, "daily", "postgresql", (), files))


@pytest.mark.parametrize(
    ("make", "says"),
    [
        (lambda bad, _: bad.write_text("a letter"), "is not a whole backup of Tickover"),
        (lambda bad, _: bad.touch(), "is not a whole backup of Tickover"),
        (lambda bad, _: bad.mkdir(), "Is a directory"),
        (lambda bad, whole: bad.write_bytes(whole.read_bytes()[:-50]), "is not a whole backup of Tickover"),
        (lambda bad, whole: bad.write_bytes(damaged(whole)), "This backup is damaged"),
        (lambda bad, _: zipfile.ZipFile(bad, "w").close(), "is not a backup of Tickover"),
        (lambda bad, whole: other_manifest(bad, whole, b'"format": 1', b'"format": 2'), "by a newer Tickover"),
        (lambda bad, whole: other_manifest(bad, whole, b"garage.0001_", b"garage.9999_"), "by a newer Tickover"),
        (lambda bad, whole: other_manifest(bad, whole, b"media/", b"../../"), "This backup is damaged"),
        (lambda bad, _: of_postgresql(bad), "of a garage on PostgreSQL"),
        (lambda _bad, _whole: None, "There is no file "),
    ],
    ids=[
        "text",
        "empty",
        "folder",
        "cut off",
        "damaged",
        "other ZIP",
        "newer",
        "newer rows",
        "outside",
        "kind",
        "none",
    ],
)
def test_what_cannot_be_put_back_is_one_sentence_and_changes_nothing(data, backup, tmp_path, make, says):
    bad = tmp_path / "bad.zip"
    make(bad, backup)
    assert says in refused(bad)
    assert {path.name for path in data.iterdir()} == LOCKS


def test_every_byte_that_changes_is_found_or_means_nothing(data, backup, tmp_path):
    """A flip in each 11th byte: refused in a sentence, or everything in it is what it was."""
    content, bad = backup.read_bytes(), tmp_path / "bad.zip"
    whole = archive.read(backup)
    outcomes = []
    for place in range(0, len(content), 11):
        flipped = bytearray(content)
        flipped[place] ^= 1 << place % 8
        bad.write_bytes(flipped)
        try:
            read = archive.read(bad)
            archive.unpack(bad, read, None)
        except archive.Refused:
            outcomes.append("refused")
        else:
            assert (read.files, read.database) == (whole.files, whole.database)
            outcomes.append("as it was")
    assert outcomes.count("refused") > 0.9 * len(outcomes)


def test_it_is_refused_while_the_garage_runs(data, backup):
    with running_lock.held_meanwhile(data, says="http://127.0.0.1:8000"):
        assert f"Tickover is already running on {data} (http://127.0.0.1:8000)" in refused(backup)


def test_it_is_refused_over_media_that_nobody_has_said_may_go(data, backup):
    (data / "media").mkdir()
    (data / "media" / "photo.jpg").write_bytes(b"a photo")
    assert "There is a garage in" in refused(backup)


def test_it_is_refused_where_there_is_no_room(data, backup, monkeypatch):
    monkeypatch.setattr(archive, "free_bytes", lambda _: 10)
    assert "There is no room in" in refused(backup)


def test_a_disk_that_is_full_half_way_leaves_the_garage_as_it_was(data, backup, monkeypatch):
    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(databases, "put_in_place", lambda *_, **__: pytest.fail("it was never checked"))
    monkeypatch.setattr(databases, "check", full)
    assert refused(backup) == "The backup could not be put back: The disk is full. Nothing was changed."
    assert {path.name for path in data.iterdir()} == LOCKS


def test_without_a_file_the_newest_backups_are_named(data):
    assert "There is none in the folder of backups." in refused()
    (data / "backups").mkdir()
    name = str(BackupName(AT, WhyMade.DAILY))
    (data / "backups" / name).touch()
    with pytest.raises(CommandError, match=name):
        call_command("restore")
