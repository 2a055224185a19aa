"""What failed with nobody looking is mailed to the boss: each kind once an hour, and nothing of whom it was for."""

from __future__ import annotations

import logging
import os
from datetime import timedelta

import pytest
from django.utils import timezone

from garage.changes.mail import failures as mails
from garage.models.messages import Message
from garage.running import failures
from tests.factories import garage

pytestmark = pytest.mark.django_db
HOUR = timedelta(hours=1)


@pytest.fixture
def log(tmp_path):
    (tmp_path / "signs").mkdir()
    found = logging.Logger("garage.tasks")
    found.addHandler(failures.NoteFailures(tmp_path))
    return found


def fails(log, words="Pat Sanders owes 30"):
    try:
        raise KeyError(words)
    except KeyError:
        log.exception("Not done for %s", words)


def told(tmp_path, at=None):
    return mails.tell(tmp_path, now=at or timezone.now())


def test_a_failure_is_mailed_to_the_shop_with_what_and_where_and_without_whom(log, tmp_path):
    shop = garage.shop()
    for _ in range(3):
        fails(log)
    assert told(tmp_path) == 1
    message = Message.objects.get()
    assert (message.to, message.visit) == (shop.email, None)
    assert message.subject == "Tickover failed at something: KeyError in test_failures.py, fails"
    assert "3 times" in message.text
    assert not any("Sanders" in words for words in (message.subject, message.text, message.html))


def test_each_kind_is_told_once_an_hour_and_then_how_often_since(log, tmp_path):
    garage.shop()
    fails(log)
    assert told(tmp_path) == 1
    fails(log)
    assert told(tmp_path) == 0
    log.error("another kind")
    assert told(tmp_path) == 1
    assert told(tmp_path, at=timezone.now() + HOUR) == 1
    assert "1 time," in Message.objects.order_by("id").last().text
    assert told(tmp_path, at=timezone.now() + 3 * HOUR) == 0


def test_what_strangers_send_is_no_failure_and_a_warning_is_none(log, tmp_path):
    garage.shop()
    log.warning("only this")
    logging.Logger.handle(log, logging.makeLogRecord({"name": "django.security.DisallowedHost", "levelno": 40}))
    assert told(tmp_path) == 0


def test_before_there_is_a_shop_it_waits_and_nothing_is_made_where_no_garage_has_run(log, tmp_path):
    fails(log)
    assert told(tmp_path) == 0
    garage.shop()
    assert told(tmp_path) == 1
    elsewhere = tmp_path / "elsewhere"
    failures.NoteFailures(elsewhere).emit(logging.makeLogRecord({"name": "x", "levelno": 40}))
    assert not elsewhere.exists()


def test_a_storm_does_not_fill_the_disk(log, tmp_path, monkeypatch):
    monkeypatch.setattr(failures, "LONGEST_BYTES", 200)
    for _ in range(50):
        fails(log)
    assert sum(os.path.getsize(path) for path in (tmp_path / "signs" / "failures").iterdir()) < 400
