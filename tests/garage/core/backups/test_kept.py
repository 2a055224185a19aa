from datetime import UTC, datetime, timedelta

import pytest

from garage.core.backups.kept import BackupName, WhyMade, is_due, is_late, may_be_tried, read_name, superfluous
from garage.core.time.local_time import LocalTime

LONDON = LocalTime.named("Europe/London")
AT = datetime(2026, 11, 30, 3, 15, tzinfo=UTC)


def daily(*days):
    return [BackupName(AT - timedelta(days=day), WhyMade.DAILY) for day in days]


@pytest.mark.parametrize("why", WhyMade)
def test_a_name_says_when_and_why_and_is_read_back(why):
    name = BackupName(AT, why)
    assert str(name) == f"tickover-2026-11-30-031500-{why.value}.zip"
    assert read_name(str(name)) == name


@pytest.mark.parametrize(
    "text",
    [
        "tickover-2026-13-30-031500-daily.zip",
        "tickover-2026-11-30-031500-monthly.zip",
        "tickover-2026-11-30-031500-daily.zip.unfinished",
        "x-tickover-2026-11-30-031500-daily.zip",
        ".lock",
    ],
)
def test_another_file_is_no_backup(text):
    assert read_name(text) is None


def test_names_sort_by_time_through_the_hour_that_comes_twice():
    before, after = (datetime(2026, 10, 25, hour, 30, tzinfo=UTC) for hour in (0, 1))  # both 1:30 in London
    assert str(BackupName(before, WhyMade.DAILY)) < str(BackupName(after, WhyMade.DAILY))


@pytest.mark.parametrize(
    ("last", "now", "due"),
    [
        (None, datetime(2026, 11, 30, 12, tzinfo=UTC), True),
        (datetime(2026, 11, 29, 18, tzinfo=UTC), datetime(2026, 11, 30, 2, 59, tzinfo=UTC), False),
        (datetime(2026, 11, 29, 18, tzinfo=UTC), datetime(2026, 11, 30, 3, tzinfo=UTC), True),
        (datetime(2026, 11, 30, 3, tzinfo=UTC), datetime(2026, 12, 1, 2, 59, tzinfo=UTC), False),
        (datetime(2026, 6, 30, 1, 59, tzinfo=UTC), datetime(2026, 6, 30, 2, tzinfo=UTC), True),  # 3:00 in summer
        (
            datetime(2026, 11, 30, 12, tzinfo=UTC),
            datetime(2026, 11, 29, 12, tzinfo=UTC),
            False,
        ),  # the clock stepped back
    ],
)
def test_one_is_due_for_each_local_day_from_three_in_the_night(last, now, due):
    assert is_due(last, now=now, local=LONDON) is due


def test_it_is_late_after_two_days():
    assert not is_late(AT, now=AT + timedelta(hours=48))
    assert is_late(AT, now=AT + timedelta(hours=48, seconds=1))


def test_after_a_failure_it_is_tried_again_an_hour_later_or_when_the_clock_was_put_back():
    assert may_be_tried(None, now=AT)
    assert not may_be_tried(AT, now=AT + timedelta(minutes=59))
    assert may_be_tried(AT, now=AT + timedelta(hours=1))
    assert may_be_tried(AT, now=AT - timedelta(minutes=5))


def test_the_oldest_of_each_kind_go_and_those_made_by_hand_stay():
    updates = [BackupName(AT - timedelta(days=day), WhyMade.BEFORE_UPDATE) for day in (1, 40, 80)]
    by_hand = [BackupName(AT - timedelta(days=day), WhyMade.BY_HAND) for day in range(5)]
    gone = superfluous([*daily(0, 3, 1, 2), *updates, *by_hand], keep=2)
    assert set(gone) == {*daily(2, 3), updates[2]}


def test_nothing_goes_while_there_are_no_more_than_are_kept():
    assert superfluous(daily(0, 1), keep=2) == []
