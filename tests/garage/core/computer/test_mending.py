"""What is wrong is said in plain words: what, since when, what to do. What is well is not mentioned."""

from datetime import UTC, datetime, timedelta

import pytest

from garage.core.computer.mending import Disk, GarageFacts, MailWaits, troubles

NOW = datetime(2026, 11, 30, 10, 42, tzinfo=UTC)
GB = 1_000_000_000


def ago(**how_long):
    return NOW - timedelta(**how_long)


def kinds(**facts):
    return [trouble.kind for trouble in troubles(GarageFacts(**facts), now=NOW)]


def only(**facts):
    (trouble,) = troubles(GarageFacts(**facts), now=NOW)
    return trouble


@pytest.mark.parametrize(
    ("free_bytes", "size_bytes", "found"),
    [
        (GB, 100 * GB, []),
        (GB - 1, 100 * GB, ["disk-low"]),
        (800_000_000, 8 * GB, []),  # a tenth of a small disk is enough
        (799_999_999, 8 * GB, ["disk-low"]),
        (20_000_000, 100 * GB, ["disk-low"]),
        (19_999_999, 100 * GB, ["disk-full"]),
        (0, 100 * GB, ["disk-full"]),
    ],
)
def test_a_disk_is_named_before_it_is_full(free_bytes, size_bytes, found):
    assert kinds(disk=Disk("/srv/kept", free_bytes, size_bytes)) == found


def test_the_warning_says_how_much_is_free_and_where_the_limit_lies():
    trouble = only(disk=Disk("/srv/kept", 640_000_000, 32 * GB), backups="/srv/kept/backups")
    words = "The disk that holds /srv/kept is nearly full: 640 MB of 32.0 GB is free. It should not go below 1.0 GB."
    assert trouble.what == words
    assert "/srv/kept/backups" in trouble.do


def test_a_folder_that_cannot_be_written_to_is_the_worst():
    found = kinds(read_only="/srv/kept", disk=Disk("/srv/kept", 0, GB), backup=("Failed.", ago(hours=1)))
    assert found == ["read-only", "disk-full", "backup"]


@pytest.mark.parametrize(("minutes", "found"), [(0, 1), (9, 1), (10, 0), (-1, 0)])
@pytest.mark.parametrize("kind", ["database-locked", "database-away"])
def test_a_database_that_could_not_be_used_is_told_for_ten_minutes(kind, minutes, found):
    assert kinds(database={kind: ago(minutes=minutes)}) == [kind] * found


def test_a_broker_that_is_away_costs_nothing_but_time():
    trouble = only(broker_away="ConnectionRefusedError")
    assert trouble.what == "What hands work to the workers does not answer: ConnectionRefusedError."
    assert "nothing is lost" in trouble.do


@pytest.mark.parametrize(
    ("count", "words"),
    [
        (1, "A message to the workers could not be read and was"),
        (3, "3 messages to the workers could not be read and were"),
    ],
)
def test_messages_set_aside_are_counted(count, words):
    trouble = only(set_aside=(count, ago(hours=2), "/srv/kept/broker/set-aside"))
    assert trouble.what == f"{words} set aside in /srv/kept/broker/set-aside."
    assert trouble.since == ago(hours=2)


@pytest.mark.parametrize("part", ["beat", "worker", "hearing worker"])
@pytest.mark.parametrize(("minutes", "found"), [(5, 0), (6, 1), (-60, 0)])
def test_a_worker_that_is_not_heard_of_is_named(part, minutes, found):
    heard = dict.fromkeys(("beat", "worker", "hearing worker"), NOW) | {part: ago(minutes=minutes)}
    assert kinds(heard=heard) == [f"quiet-{part}"] * found


def test_a_part_that_stops_again_and_again_is_named_and_one_that_stopped_once_is_not():
    stops = [ago(minutes=minutes) for minutes in (70, 50, 20, 1)]
    trouble = only(stops={"hearing worker": stops, "worker": stops[-2:]})
    assert trouble.what == "The hearing worker stops again and again: 3 times within the hour."
    assert trouble.since == ago(minutes=50)


@pytest.mark.parametrize(("minutes", "found"), [(9, []), (10, ["mail"])])
def test_a_mail_server_that_takes_nothing_is_named_after_ten_minutes(minutes, found):
    assert kinds(mail=MailWaits(ago(minutes=minutes), 4, "Connection refused")) == found


def test_what_the_mail_server_said_is_told_and_how_many_wait():
    trouble = only(mail=MailWaits(ago(hours=3), 4, "Connection refused"))
    assert trouble.what == "The mail server takes nothing, and 4 mails wait. It said: Connection refused"
    assert trouble.since == ago(hours=3)


def test_a_backup_that_failed_stands_here_too():
    trouble = only(backup=("The last one failed. The disk is full.", ago(hours=5)))
    assert "The disk is full." in trouble.what
    assert trouble.since == ago(hours=5)


def test_clips_that_cannot_be_heard_name_their_visits():
    trouble = only(clips=((41, 43), ago(days=1)))
    assert trouble.what == "The clips of 2 visits cannot be listened to by the program."
    assert trouble.visits == (41, 43)
    assert only(clips=((41,), ago(days=1))).what == "A clip cannot be listened to by the program."


@pytest.mark.parametrize(("ahead_min", "found"), [(-5, []), (2, []), (3, ["clock"]), (60, ["clock"])])
def test_a_clock_that_was_put_back_is_seen_by_what_was_noted_before(ahead_min, found):
    assert kinds(latest_written=ago(minutes=-ahead_min)) == found


def test_each_trouble_has_a_name_of_its_own_and_says_what_to_do():
    stops = [NOW] * 3
    everything = GarageFacts(
        disk=Disk("/srv/kept", 0, GB),
        read_only="/srv/kept",
        database={"database-locked": NOW, "database-away": NOW},
        broker_away="TimeoutError",
        set_aside=(1, NOW, "/srv/kept/broker/set-aside"),
        heard=dict.fromkeys(("beat", "worker", "hearing worker"), ago(hours=1)),
        stops={"web server": stops, "worker": stops},
        mail=MailWaits(ago(hours=1), 1, "Refused"),
        backup=("None was made.", None),
        clips=((41,), NOW),
        latest_written=ago(hours=-1),
    )
    found = troubles(everything, now=NOW)
    assert len({trouble.kind for trouble in found}) == len(found) == 15
    assert all(trouble.what.endswith((".", "Refused")) and trouble.do.endswith(".") for trouble in found)
