"""Backup and restore, on both databases, on a garage that has rows in most tables and a paper."""

import contextlib
import shutil
import sqlite3
import stat
import zipfile

import psycopg
import pytest
from django.utils import timezone

from garage.core.errors import Refused
from garage.running import running_lock
from garage.running.backups import databases, restoring, sqlite, what_is_here
from tests.kept_garage import OLD_KEY, KeptGarage, of_the_first_edition

pytestmark = pytest.mark.long(minutes=1)
OF_SQLITE = pytest.mark.parametrize("new_place", ["sqlite"], indirect=True)  # a file; of a server it means nothing


@pytest.fixture(scope="module")
def backup(new_place):
    """A backup, and the garage it was made of."""
    garage = of_the_first_edition(*new_place())
    said = garage.manage("backup")
    (name,) = garage.backups()
    path = garage.data / "backups" / name
    assert said.startswith(f"{path} (")
    return path, garage


@pytest.fixture
def garage(new_place):
    return of_the_first_edition(*new_place())


def all_of(garage):
    return garage.rows_of_every_table(), garage.media(), (garage.data / "secret.key").read_text()


def change(garage):
    """A visit that came, and a photo, since the backup."""
    with garage.connected() as connection:
        connection.execute("update garage_visit set wants = 'Something else'")
        connection.execute("delete from garage_enclosure")
    (garage.data / "media" / "photos").mkdir()
    (garage.data / "media" / "photos" / "new.jpg").write_bytes(b"a new photo")


def test_a_backup_is_one_file_for_the_garage_alone_with_database_media_and_key(backup):
    path, garage = backup
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    with zipfile.ZipFile(path) as packed:
        names = set(packed.namelist())
        assert packed.read("secret.key").decode() == OLD_KEY
    kept = "database.dump" if garage.database_url else "database.sqlite3"
    assert names == {"manifest.json", kept, "secret.key", "media/invoices/2026/invoice-1.pdf"}


def test_it_takes_the_place_of_a_garage_only_when_that_is_said(backup, garage):
    path, was = backup
    change(garage)
    before = all_of(garage)
    assert "There is a garage in" in garage.refused("restore", str(path))
    assert all_of(garage) == before
    said = garage.manage("restore", str(path), "--over")
    assert all_of(garage) == all_of(was)
    (copy,) = garage.backups()
    assert copy.endswith("-before-restore.zip")
    assert f"What was here before is kept in {garage.data / 'backups' / copy}." in said
    garage.manage("restore", str(garage.data / "backups" / copy), "--over")
    assert all_of(garage) == before


def test_nothing_is_left_beside_it(backup, new_place):
    path, _ = backup
    garage = KeptGarage(*new_place())
    (garage.data / "demo-log-ins.txt").write_text("of the garage that was here")
    garage.manage("restore", str(path))
    found = {one.name for one in garage.data.iterdir()}
    assert found - {"tickover.sqlite3-wal", "tickover.sqlite3-shm"} == {
        "media",
        *(f"running-{part}.lock" for part in running_lock.EVERY),
        "secret.key",
    } | (set() if garage.database_url else {"tickover.sqlite3"})
    assert stat.S_IMODE((garage.data / "secret.key").stat().st_mode) == 0o600


@pytest.mark.parametrize("new_place", ["postgresql"], indirect=True)
def test_it_is_refused_while_somebody_is_connected_to_the_database_server(backup, new_place):
    path, _ = backup
    garage = KeptGarage(*new_place())
    with contextlib.closing(psycopg.connect(garage.database_url)):
        assert "Others are connected to the database (1)." in garage.refused("restore", str(path))


def test_a_restore_that_was_cut_short_keeps_the_garage_from_starting_until_it_is_done_again(backup, garage):
    path, was = backup
    (garage.data / "restore-unfinished").write_text(str(path))
    shutil.rmtree(garage.data / "media")
    said = garage.refused("prepare")
    assert said == (
        "CommandError: A backup was being put back here, and that was cut short. "
        f"Do it again: make restore OVER=yes FILE={path}"
    )
    garage.manage("restore", str(path), "--over")
    assert all_of(garage) == all_of(was)
    assert garage.backups() == []  # half a garage is not worth a copy


@OF_SQLITE
@pytest.mark.parametrize(
    "bad",
    [lambda _: b"a letter to the owner " * 500, lambda old: old[: len(old) // 2] + b"\1" * (len(old) // 2)],
    ids=["no database", "half of it overwritten"],
)
def test_a_database_that_cannot_be_read_is_kept_as_it_is_and_replaced(backup, garage, bad):
    path, was = backup
    database = garage.data / "tickover.sqlite3"
    content = bad(database.read_bytes())
    database.write_bytes(content)
    garage.manage("restore", str(path), "--over")
    assert all_of(garage) == all_of(was)
    (kept,) = garage.backups()
    assert (garage.data / "backups" / kept / "tickover.sqlite3").read_bytes() == content
    assert (garage.data / "backups" / kept / "media" / "invoices").is_dir()


@OF_SQLITE
def test_rows_still_in_the_log_of_sqlite_are_in_the_backup(backup, garage, new_place):
    with contextlib.closing(sqlite3.connect(garage.data / "tickover.sqlite3")) as writer:
        writer.execute("pragma journal_mode=wal")
        writer.execute("pragma wal_autocheckpoint=0")
        writer.execute("insert into garage_attempt (what, key, at) values ('in the log', '', '2026-11-30 00:00:00')")
        writer.commit()
        garage.manage("backup")
    (name,) = garage.backups()
    there = KeptGarage(*new_place())
    there.manage("restore", str(garage.data / "backups" / name))
    assert any("in the log" in row for row in there.rows_of_every_table()["garage_attempt"])


@OF_SQLITE
def test_a_database_on_another_disk_that_is_full_is_left_as_it_was(garage, backup, monkeypatch, settings):
    """By the functions themselves: what stands there is not what Django has open."""

    def full(*_):
        raise OSError(28, "No space left on device")

    settings.DATA, settings.MEDIA_ROOT = garage.data, garage.data / "media"
    settings.BACKUPS = garage.data / "backups"
    before = all_of(garage)
    monkeypatch.setattr(sqlite, "database_file", lambda: garage.data / "tickover.sqlite3")
    monkeypatch.setattr(what_is_here, "look", lambda: what_is_here.WhatIsHere.NOTHING)
    monkeypatch.setattr(sqlite.shutil, "move", full)
    monkeypatch.setattr(databases.connections, "close_all", lambda: None)
    said: list[str] = []
    with pytest.raises(Refused, match=r"No space left on device\. Nothing was changed\."):
        restoring.restore(backup[0], over=True, now=timezone.now(), tell=said.append)
    assert all_of(garage) == before
    assert not (garage.data / restoring.MARK).exists()
    assert [words.partition(":")[0] for words in said] == ["1 of 4", "2 of 4", "3 of 4", "4 of 4"]
