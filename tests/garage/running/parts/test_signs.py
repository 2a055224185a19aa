"""Signs of life are files that are touched; where none can be given nothing fails."""

import os
from datetime import UTC, datetime, timedelta

from garage.running.parts import signs


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


def test_a_line_of_the_stops_that_was_cut_short_is_passed_over(tmp_path):
    at = datetime(2026, 11, 30, 8, tzinfo=UTC)
    signs.note_stopped(tmp_path, "beat", at=at)
    path = tmp_path / "signs" / signs.STOPS
    whole = path.read_text()
    for spoilt in ("", '["worker", ', "5", "[5]", '["worker", "yesterday"]'):
        path.write_text(f"{spoilt}\n{whole}")
        assert signs.stopped(tmp_path) == [signs.PartStopped("beat", at)]


def test_the_list_of_stops_grows_to_some_two_hundred_lines_and_is_cut_to_the_latest(tmp_path):
    begun = datetime(2026, 11, 30, 8, tzinfo=UTC)
    for minutes in range(600):
        signs.note_stopped(tmp_path, "worker", at=begun + timedelta(minutes=minutes))
    assert (tmp_path / "signs" / signs.STOPS).stat().st_size < signs.STOPS_LONGEST_BYTES + 100
    assert signs.stopped(tmp_path)[-1].at == begun + timedelta(minutes=599)
    assert len(signs.stopped(tmp_path)) == signs.STOPS_KEPT
