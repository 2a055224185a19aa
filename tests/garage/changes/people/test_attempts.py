"""Attempts that are limited: so many of one thing by one key within a time."""

from datetime import timedelta

import pytest
from django.utils import timezone

from garage.changes.people import attempts
from garage.models.attempts import Attempt

pytestmark = pytest.mark.django_db
HOUR = timedelta(hours=1)


def _may(now, most=2, what="knock", key="door"):
    return attempts.may_try(what, key=key, most=most, within=HOUR, now=now)


def test_only_so_many_are_allowed_of_one_thing_by_one_key_within_the_time():
    now = timezone.now()
    for at in (now - HOUR, now):
        attempts.tried("knock", key="door", now=at)
    assert not _may(now)
    assert _may(now, most=3)
    assert _may(now, key="window")
    assert _may(now, what="ring")
    assert _may(now + timedelta(seconds=1))
    assert Attempt.objects.count() == 2


def test_an_attempt_is_kept_with_what_it_was_by_whom_and_when():
    now = timezone.now()
    attempts.tried("knock", key="door", now=now)
    row = Attempt.objects.get()
    assert (row.what, row.key, row.at) == ("knock", "door", now)


def _claimed(now, caps=(("door", 2),)):
    return attempts.claimed("knock", caps=caps, within=HOUR, now=now)


def test_an_attempt_is_counted_before_it_is_made_so_that_of_many_at_once_no_more_than_allowed_are_let_through():
    now = timezone.now()
    let_through = [_claimed(now) for _ in range(5)]  # none of them has ended when the next begins
    assert [claim is not None for claim in let_through] == [True, True, False, False, False]
    assert Attempt.objects.count() == 2
    assert _claimed(now + HOUR + timedelta(seconds=1)) is not None


def test_one_that_is_too_many_for_one_of_its_keys_is_counted_for_none():
    now = timezone.now()
    assert _claimed(now, [("door", 9), ("house", 1)]) is not None
    assert _claimed(now, [("door", 9), ("house", 1)]) is None
    assert sorted(Attempt.objects.values_list("key", flat=True)) == ["door", "house"]


def test_one_that_is_taken_back_never_was():
    now = timezone.now()
    attempts.take_back(_claimed(now) or ())
    assert not Attempt.objects.exists()


def test_forgetting_takes_the_attempts_of_one_thing_and_one_key():
    now = timezone.now()
    for what, key in (("knock", "door"), ("knock", "door"), ("knock", "window"), ("ring", "door")):
        attempts.tried(what, key=key, now=now)
    attempts.forget("knock", key="door")
    assert set(Attempt.objects.values_list("what", "key")) == {("knock", "window"), ("ring", "door")}


def test_the_sweep_keeps_a_day():
    now = timezone.now()
    for seconds in (0, 1):
        attempts.tried("knock", key=str(seconds), now=now - timedelta(days=1, seconds=seconds))
    attempts.sweep(now=now)
    assert Attempt.objects.get().key == "0"


def test_a_hash_tells_nothing_and_depends_on_each_part_and_on_the_secret_of_the_garage(settings):
    hashed = attempts.hashed("robin", "192.0.2.7")
    assert (len(hashed), attempts.hashed("robin", "192.0.2.7")) == (64, hashed)  # SHA-256: 64 hexadecimal digits
    assert attempts.hashed("robin192.0.2.7") != hashed
    assert attempts.hashed("robin", "192.0.2.8") != hashed
    settings.SECRET_KEY = "another"
    assert attempts.hashed("robin", "192.0.2.7") != hashed
