"""A backup taken while others write and delete is of one moment: what belongs together is there, or none of it."""

import os
import threading
import time

import pytest

from tests.kept_garage import KeptGarage
from tests.postgresql import new_postgresql_database

pytestmark = pytest.mark.long(minutes=1)

WRITERS = 3
OLD = 120  # rows in pairs and files that each writer deletes, one after the other


@pytest.fixture(params=["sqlite", "postgresql"])
def garage(request):
    return KeptGarage(*request.getfixturevalue("new_garage")(request.param))


class Writer(threading.Thread):
    """Writes a file and then, in one transaction, two rows that name it; then deletes the rows of an hour ago and after
    them their file. A file of the last seconds is packed late, and could be gone by then.
    """

    def __init__(self, garage, number, stopping):
        super().__init__()
        self.garage, self.number, self.stopping = garage, number, stopping
        self.folder = garage.data / "media" / "photos"
        self.written = 0
        for old in range(OLD):
            (self.folder / f"{number}-old-{old}").write_bytes(content(f"{number}-old-{old}"))
            os.utime(self.folder / f"{number}-old-{old}", (0, time.time() - 3600))

    def write_old(self):
        with self.garage.connected() as connection:
            for old in range(OLD):
                self.insert_pair(connection, f"{self.number}-old-{old}")

    def run(self):
        while not self.stopping.is_set():
            key, old = f"{self.number}-{self.written}", f"{self.number}-old-{self.written}"
            (self.folder / key).write_bytes(content(key))
            with self.garage.connected() as connection:
                self.insert_pair(connection, key)
            if self.written < OLD:
                with self.garage.connected() as connection:
                    connection.execute(f"delete from garage_attempt where key = '{old}'")  # noqa: S608
                (self.folder / old).unlink()
            self.written += 1

    def insert_pair(self, connection, key):
        for what in ("one", "other"):
            values = f"values ('{what}', '{key}', '2026-11-30 00:00:00+00')"
            connection.execute(f"insert into garage_attempt (what, key, at) {values}")


def content(key):
    return key.encode() * 500


def test_rows_of_one_transaction_and_their_file_are_all_in_it_or_none(garage, tmp_path):
    folder = garage.data / "media" / "photos"
    folder.mkdir(parents=True)
    stopping = threading.Event()
    writers = [Writer(garage, number, stopping) for number in range(WRITERS)]
    for writer in writers:
        writer.write_old()
    for writer in writers:
        writer.start()
    try:
        before = sum(writer.written for writer in writers)
        garage.manage("backup")
        while_packed = sum(writer.written for writer in writers) - before
    finally:
        stopping.set()
        for writer in writers:
            writer.join()
    assert while_packed > 10
    (name,) = garage.backups()
    place, address = tmp_path / "put-back", ""
    place.mkdir()
    if garage.database_url:
        address = new_postgresql_database(garage.database_url.rpartition("/")[0])
    put_back = KeptGarage(place, address)
    put_back.manage("restore", str(garage.data / "backups" / name))
    with put_back.connected() as connection:
        rows = connection.execute("select key, count(*) from garage_attempt group by key").fetchall()
    media = put_back.media()
    assert len(rows) > 10
    assert [row for row in rows if row[1] != 2] == []
    assert [key for key, _ in rows if media.get(f"photos/{key}") != content(key)] == []
