"""Signs of life are files that are touched; where none can be given nothing fails."""

import os
from datetime import UTC, datetime, timedelta

from garage.running import signs


def test_a_sign_changes_its_mark_and_says_when(tmp_path):
    assert signs.mark(tmp_path, signs.BEAT) is signs.given_at(tmp_path, signs.BEAT) is None
    signs.give(tmp_path, signs.BEAT)
    first = signs.mark(tmp_path, signs.BEAT)
    os.utime(tmp_path / "signs" / "beat", (0, 0))
    signs.give(tmp_path, signs.BEAT)
    assert signs.mark(tmp_path, signs.BEAT) >= first
    assert datetime.now(UTC) - signs.given_at(tmp_path, signs.BEAT) < timedelta(minutes=5)


def test_where_no_sign_can_be_given_nothing_fails(tmp_path):
    nowhere = tmp_path / "a file"
    nowhere.touch()
    signs.give(nowhere, signs.BEAT)
    signs.note_stopped(nowhere, "worker", at=datetime.now(UTC))
    assert signs.mark(nowhere, signs.BEAT) is None
    assert signs.stopped(nowhere) == []


def test_the_latest_stops_are_kept(tmp_path):
    begun = datetime(2026, 11, 30, 8, tzinfo=UTC)
    for minutes in range(25):
        signs.note_stopped(tmp_path, "worker", at=begun + timedelta(minutes=minutes))
    kept = signs.stopped(tmp_path)
    assert [row.at for row in kept] == [begun + timedelta(minutes=minutes) for minutes in range(5, 25)]
    assert {row.part for row in kept} == {"worker"}


def test_a_list_of_stops_that_was_cut_short_is_none(tmp_path):
    (tmp_path / "signs").mkdir()
    for given in ("", '[["worker", ', "5", "[5]", '[["worker", "yesterday"]]'):
        (tmp_path / "signs" / signs.STOPS).write_text(given)
        assert signs.stopped(tmp_path) == []
