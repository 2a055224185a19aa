from datetime import UTC, datetime, timedelta

import pytest

from garage.core.backups.kept import BackupName, WhyMade
from garage.pages.backups import backups_seen
from garage.running.backups import folder

NOW = datetime(2026, 11, 30, 12, tzinfo=UTC)


@pytest.fixture
def kept(settings, tmp_path):
    settings.DATA, settings.BACKUPS = tmp_path, tmp_path / "backups"
    settings.BACKUPS.mkdir()
    return settings.BACKUPS


def put(kept, *, hours_ago):
    name = BackupName(NOW - timedelta(hours=hours_ago), WhyMade.DAILY)
    (kept / str(name)).write_bytes(b"x" * 1000 * hours_ago)
    return name


def test_the_last_one_is_named_with_its_size(kept):
    put(kept, hours_ago=30)
    last = put(kept, hours_ago=9)
    seen = backups_seen(now=NOW)
    assert (seen.last_at, seen.last_size_bytes, seen.trouble) == (last.at, 9000, "")


def test_why_the_last_one_failed_is_said(kept):
    put(kept, hours_ago=9)
    folder.note_failure("There is no room for a backup.", now=NOW)
    assert backups_seen(now=NOW).trouble == "The last one failed. There is no room for a backup."
    folder.forget_failure()
    assert backups_seen(now=NOW).trouble == ""


def test_one_that_is_two_days_old_is_trouble_though_nothing_said_so(kept):
    put(kept, hours_ago=49)
    assert backups_seen(now=NOW).trouble.startswith("None was made for two days.")


def test_where_somebody_else_sees_to_it_none_is_missed(kept, settings):
    settings.BACKUPS_KEPT = 0
    seen = backups_seen(now=NOW)
    assert (seen.are_made, seen.last_at, seen.trouble) == (False, None, "")
