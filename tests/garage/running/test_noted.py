"""A trouble is told once in the log, and once more when it is gone."""

import logging
from datetime import UTC, datetime, timedelta

import pytest

from garage.core.computer.mending import Trouble
from garage.running import noted

NOW = datetime(2026, 11, 30, 10, 42, tzinfo=UTC)
FULL = Trouble("disk-full", "The disk is full.", "Delete something.")


@pytest.fixture(autouse=True)
def _nothing_remembered(monkeypatch):
    monkeypatch.setattr(noted, "_remembered", {})


def told(caplog, folder, *found, at=NOW):
    caplog.clear()
    with caplog.at_level(logging.WARNING):
        noted.note(folder, found, now=at)
    return [record.getMessage() for record in caplog.records]


@pytest.mark.parametrize("can_be_written", [True, False])
def test_it_is_told_once_and_again_when_it_is_gone(caplog, tmp_path, can_be_written):
    if not can_be_written:
        (tmp_path / "signs").touch()  # no folder, then
    assert told(caplog, tmp_path, FULL) == ["Needs mending: The disk is full. Delete something."]
    assert told(caplog, tmp_path, FULL, at=NOW + timedelta(minutes=1)) == []
    assert noted.known_since(tmp_path) == {"disk-full": NOW}
    assert told(caplog, tmp_path) == ["Mended: disk-full."]
    assert told(caplog, tmp_path) == []
    assert noted.known_since(tmp_path) == {}


def test_it_keeps_its_own_time_where_it_knows_one(caplog, tmp_path):
    since = NOW - timedelta(hours=3)
    told(caplog, tmp_path, Trouble("mail", "The mail server takes nothing.", "Look.", since))
    assert noted.known_since(tmp_path) == {"mail": since}


@pytest.mark.parametrize("given", ["", "5", '{"mail": ', '{"mail": 5}', "[]"])
def test_a_file_that_was_cut_short_is_none(tmp_path, given):
    (tmp_path / "signs").mkdir()
    (tmp_path / "signs" / noted.NOTED).write_text(given)
    assert noted.known_since(tmp_path) == {}
