from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from garage.changes import sweeping
from garage.changes.people import attempts, log_ins
from garage.models.attempts import Attempt
from garage.models.sessions import BrowserSession

pytestmark = pytest.mark.django_db

NOW = timezone.now()


def session(key, *, runs_out_in):
    return BrowserSession.objects.create(session_key=key, session_data="", expire_date=NOW + runs_out_in)


def test_old_attempts_go_a_few_at_a_time_and_those_of_the_last_day_stay(monkeypatch):
    monkeypatch.setattr(sweeping, "BATCH", 10)
    old, young = NOW - timedelta(hours=24, seconds=1), NOW - timedelta(hours=23, minutes=59)
    Attempt.objects.bulk_create(Attempt(what="wrong", key=str(n), at=old) for n in range(25))
    Attempt.objects.create(what="wrong", key="young", at=young)
    with CaptureQueriesContext(connection) as asked:
        attempts.sweep(now=NOW)
    assert list(Attempt.objects.values_list("key", flat=True)) == ["young"]
    assert len([one for one in asked.captured_queries if one["sql"].startswith("DELETE")]) == 3


def test_sessions_go_once_they_have_run_out(monkeypatch):
    monkeypatch.setattr(sweeping, "BATCH", 2)
    for number in range(5):
        session(f"old-{number}", runs_out_in=-timedelta(seconds=1))
    session("in use", runs_out_in=timedelta(seconds=1))
    log_ins.sweep(now=NOW)
    assert [row.session_key for row in BrowserSession.objects.all()] == ["in use"]


def test_a_session_that_is_used_again_between_the_look_and_its_end_stays(monkeypatch):
    session("used again", runs_out_in=-timedelta(seconds=1))
    rows = BrowserSession.objects.filter(expire_date__lt=NOW)
    looks = iter([["used again"], []])

    def look(_rows, *_names, **_given):
        BrowserSession.objects.update(expire_date=NOW + timedelta(days=14))
        return next(looks)

    monkeypatch.setattr(type(rows), "values_list", look)
    sweeping.delete_in_batches(rows)
    assert BrowserSession.objects.filter(session_key="used again").exists()
