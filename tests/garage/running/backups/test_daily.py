"""The backup of each day: when it is made, what it drops, and what is known when it fails."""

from datetime import UTC, datetime, timedelta

import pytest

from garage.core.backups.kept import BackupName, WhyMade
from garage.core.errors import Refused
from garage.running.backups import daily, folder
from tests.factories import garage as make

pytestmark = pytest.mark.django_db

NOW = datetime(2026, 11, 30, 12, tzinfo=UTC)


@pytest.fixture
def kept(settings, tmp_path):
    """The folder of backups of a garage that has a boss."""
    settings.DATA, settings.BACKUPS = tmp_path, tmp_path / "backups"
    settings.BACKUPS.mkdir()
    make.shop()
    return settings.BACKUPS


@pytest.fixture
def made(monkeypatch, kept):
    """What was asked for. tests/garage/running/backups/test_restoring.py makes real ones."""
    asked = []

    def back_up(why, *, now):
        asked.append(why)
        (kept / str(BackupName(now, why))).touch()

    monkeypatch.setattr(daily, "back_up", back_up)
    return asked


def test_one_is_made_a_day(kept, made):
    for hours in (0, 1, 10, 20, 21):
        daily.back_up_if_due(now=NOW + timedelta(hours=hours))
    assert made == [WhyMade.DAILY, WhyMade.DAILY]


def test_what_a_restore_has_put_away_is_not_the_days_backup(kept, made):
    (kept / str(BackupName(NOW - timedelta(hours=1), WhyMade.BEFORE_RESTORE))).touch()
    daily.back_up_if_due(now=NOW)
    assert made == [WhyMade.DAILY]
    assert folder.last_good().name.why is WhyMade.DAILY


def test_none_is_made_of_an_empty_garage_whose_backups_would_push_out_good_ones(settings, tmp_path, monkeypatch):
    settings.BACKUPS = tmp_path
    monkeypatch.setattr(daily, "back_up", lambda *_, **__: pytest.fail("it was made"))
    daily.back_up_if_due(now=NOW)


def test_none_is_made_where_somebody_else_sees_to_it(kept, made, settings):
    settings.BACKUPS_KEPT = 0
    daily.back_up_if_due(now=NOW)
    assert made == []


def test_why_it_failed_is_kept_and_it_is_tried_again_after_an_hour(kept, made, monkeypatch):
    def refuse(*_, **__):
        raise Refused("There is no room for a backup.")

    with monkeypatch.context() as patched:
        patched.setattr(daily, "back_up", refuse)
        daily.back_up_if_due(now=NOW)
    assert folder.failure() == folder.BackupFailure(NOW, "There is no room for a backup.")
    daily.back_up_if_due(now=NOW + timedelta(minutes=5))
    assert made == []
    daily.back_up_if_due(now=NOW + timedelta(hours=1))
    assert made == [WhyMade.DAILY]


@pytest.mark.parametrize("content", ["", "[]", "{", '{"at": "yesterday", "sentence": ""}', '{"at": 5}'])
def test_a_note_of_a_failure_that_cannot_be_read_is_none(kept, content):
    (kept.parent / folder.FAILURE).write_text(content)
    assert folder.failure() is None


def test_a_full_disk_keeps_no_note_and_is_no_trouble(kept, settings):
    settings.DATA = kept / "nowhere"
    folder.note_failure("The disk is full.", now=NOW)
    assert folder.failure() is None


def test_what_is_more_than_is_kept_goes_and_nothing_else(kept, settings):
    settings.BACKUPS_KEPT = 2
    names = [BackupName(NOW - timedelta(days=day), WhyMade.DAILY) for day in range(4)]
    for name in [*map(str, names), "holidays.zip"]:
        (kept / name).touch()
    folder.drop_superfluous()
    assert {path.name for path in kept.iterdir()} == {*map(str, names[:2]), "holidays.zip"}
    settings.BACKUPS_KEPT = 0
    folder.drop_superfluous()
    assert len(folder.backups()) == 2


def test_what_was_cut_off_is_taken_away_by_the_next_one(kept):
    (kept / "tickover-2026-11-29-031500-daily.zip.unfinished").write_bytes(b"half")
    with folder.one_at_a_time() as own:
        assert [path.name for path in own.iterdir()] == [".lock"]
        with pytest.raises(Refused, match="A backup is being made just now"), folder.one_at_a_time():
            pass
