"""What an owner is told when the time of a visit changes, and the file for the owner's diary."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone
from icalendar import Calendar

from garage.changes.mail import notices
from garage.core.mail.gathered import GATHERED_FOR
from garage.models.messages import Message
from garage.models.visits import Visit
from garage.output.post import Enclosed
from garage.reads import links
from garage.reads.shop import the_shop
from tests.factories import booking, garage

pytestmark = pytest.mark.django_db


@pytest.fixture
def now():
    return timezone.now().replace(microsecond=0) - timedelta(minutes=1)


@pytest.fixture
def visit() -> Visit:
    """A set-up of 90 minutes at ten."""
    garage.shop()
    return garage.visit(starts_at=booking.at_local(booking.workday(), 10))


def _local(at):
    return at.astimezone(booking.LONDON)


@pytest.mark.parametrize(
    ("tell", "what", "sequence", "wait"),
    [
        (notices.booked, "visit_booked", 0, timedelta(0)),
        (notices.moved, "visit_moved", 1, GATHERED_FOR),
        (notices.time_given, "visit_time_given", 1, GATHERED_FOR),
    ],
)
def test_a_time_is_told_with_a_diary_file_that_replaces_the_one_before(visit, now, tell, what, sequence, wait):
    tell(visit, the_shop(), now=now)
    message = Message.objects.get()
    assert (message.what, message.to, message.visit) == (what, visit.owner.email, visit)
    assert (message.written_at, message.due_at) == (now, now + wait)
    assert booking.diary(message) == ("PUBLISH", str(visit.calendar_uid), sequence, visit.starts_at)
    assert Visit.objects.get().calendar_sequence == sequence
    before_the_gate = f"Please be there at {_local(visit.starts_at - timedelta(minutes=30)):%H:%M}"
    assert before_the_gate in message.text


def test_the_diary_file_says_all_about_the_time(visit, now):
    enclosed = notices.diary(visit, the_shop(), now=now)
    assert (enclosed.name, enclosed.content_type) == ("visit.ics", "text/calendar; charset=utf-8; method=PUBLISH")
    event = Calendar.from_ical(enclosed.content).walk("VEVENT")[0]
    assert event.decoded("dtend") == visit.starts_at + timedelta(minutes=90)
    assert event.decoded("dtstamp") == now
    assert str(event["summary"]) == "Corrick 185 at Quarry Lane Rolling Road"
    assert str(event["location"]) == "Quarry Lane Rolling Road, Quarry Lane, Ambleford"
    arrive = _local(visit.starts_at - timedelta(minutes=30))
    change = "To move it or call it off, use the link in our email, or ring us."
    words = f"Visit {visit.number}: Set-up. Please be there at {arrive:%H:%M}.\n{change}"
    assert str(event["description"]) == words
    organizer = event["organizer"]
    assert (str(organizer), organizer.params["CN"]) == ("mailto:garage@example.com", "Quarry Lane Rolling Road")


def test_no_diary_file_holds_a_personal_link_since_diaries_are_shared(visit, now):
    taken_out = notices.taken_out_of_the_diary(visit, the_shop(), now=now)
    assert taken_out is not None
    for enclosed in (notices.diary(visit, the_shop(), now=now), taken_out):
        unfolded = enclosed.content.replace(b"\r\n ", b"")
        for purpose in ("visit", "sheet"):
            assert links.token(visit, purpose).encode() not in unfolded
        assert b"http" not in unfolded


def test_a_time_is_taken_out_of_the_diary_by_a_later_file(visit, now):
    enclosed = notices.taken_out_of_the_diary(visit, the_shop(), now=now)
    assert (enclosed.name, enclosed.content_type) == ("visit.ics", "text/calendar; charset=utf-8; method=CANCEL")
    event = Calendar.from_ical(enclosed.content).walk("VEVENT")[0]
    assert (int(event["sequence"]), event.decoded("dtstamp")) == (1, now)
    assert Visit.objects.get().calendar_sequence == 1


def test_a_visit_without_a_time_has_nothing_to_take_out(visit, now):
    Visit.objects.update(at="", starts_at=None, minutes=0)
    visit.refresh_from_db()
    assert notices.taken_out_of_the_diary(visit, the_shop(), now=now) is None
    assert Visit.objects.get().calendar_sequence == 0


@pytest.mark.parametrize("taken_out", [None, Enclosed("visit.ics", "text/calendar; method=CANCEL", b"gone")])
def test_calling_off_is_told_with_the_file_made_before_if_there_is_one(visit, now, taken_out):
    notices.called_off(visit, the_shop(), taken_out=taken_out, now=now)
    message = Message.objects.get()
    assert (message.what, message.to, message.written_at) == ("visit_called_off", visit.owner.email, now)
    assert [bytes(row.content) for row in message.enclosures.all()] == ([b"gone"] if taken_out else [])


def test_a_deposit_is_confirmed_with_its_amount(visit, now):
    notices.deposit_came(visit, the_shop(), amount=Decimal("12.50"), now=now)
    message = Message.objects.get()
    assert (message.what, message.visit, message.written_at) == ("deposit_came", visit, now)
    assert "your deposit of £12.50" in message.text
    assert not message.enclosures.exists()


def test_a_ready_machine_is_told_without_a_file(visit, now):
    notices.ready_to_collect(visit, the_shop(), now=now)
    message = Message.objects.get()
    assert (message.what, message.visit, message.written_at) == ("ready_to_collect", visit, now)
    assert message.to == visit.owner.email
    assert not message.enclosures.exists()
