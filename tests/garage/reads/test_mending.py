"""What the rows say of troubles."""

from datetime import datetime, timedelta

import pytest
from django.utils import timezone

from garage.changes import trail
from garage.core.mail.mail_tries import MOST_TRIES
from garage.models.actors import SYSTEM
from garage.models.messages import Message
from garage.reads.mending import latest_written_at, mail_that_waits

pytestmark = pytest.mark.django_db


def message(at: datetime, **given: object) -> Message:
    words = {"what": "visit_booked", "to": "owner@example.org", "subject": "Booked", "text": "Booked.", "html": ""}
    return Message.objects.create(**words, written_at=at, due_at=at, **given)


def refused(at: datetime, **given: object) -> Message:
    return message(at, **{"tries": 2, "trouble": "The mail server cannot be reached."} | given)


def test_a_server_that_takes_no_mail_is_one_that_has_taken_none_since():
    now = timezone.now()
    message(now - timedelta(hours=5), sent_at=now - timedelta(hours=5), tries=1)
    refused(now - timedelta(hours=3))
    refused(now - timedelta(hours=1))
    message(now)  # not tried yet
    found = mail_that_waits()
    assert (found.since, found.count) == (now - timedelta(hours=3), 2)
    assert found.said == "The mail server cannot be reached."


def test_one_address_that_is_refused_for_now_is_no_trouble_of_the_server():
    now = timezone.now()
    refused(now - timedelta(hours=3))
    message(now - timedelta(hours=1), sent_at=now, tries=1)
    assert mail_that_waits() is None


def test_what_is_given_up_or_was_never_sent_is_no_trouble_of_the_server():
    now = timezone.now()
    message(now, tries=MOST_TRIES, trouble="No email address is on file.")
    message(now - timedelta(hours=1), sent_at=now, kept_here=True)
    assert mail_that_waits() is None


def test_the_latest_time_noted_is_found_also_if_something_was_noted_after_the_clock_was_put_back():
    now = timezone.now()
    assert latest_written_at() is None
    for at in (now, now + timedelta(hours=1), now + timedelta(minutes=1)):
        trail.wrote(did="looked", about="the shop", by=SYSTEM, now=at)
    assert latest_written_at() == now + timedelta(hours=1)
