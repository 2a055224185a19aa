"""One booking cannot be made to mail somebody again and again."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.utils import timezone

from garage.changes.mail import messages
from garage.changes.visit import visits
from garage.core.errors import Refused
from garage.models.messages import Message
from garage.models.visits import Visit
from tests.factories import booking, garage

pytestmark = pytest.mark.django_db
HOUR = timedelta(hours=1)


@pytest.fixture
def visit() -> Visit:
    garage.shop()
    garage.person()
    garage.person()
    return booking.booked(garage.visit_kind(), booking.at_local(booking.workday(ahead=5), 10))


def _waiting() -> list[tuple[str, str]]:
    rows = Message.objects.exclude(what="visit_booked").order_by("id")
    return [(row.what, row.subject) for row in rows]


def test_the_moves_of_some_minutes_are_one_mail_that_says_the_last_time(visit):
    now, start = timezone.now(), visit.starts_at
    for hours in (4, 4.5, 5):
        visit = visits.move(visit, starts_at=start + hours * HOUR, by=garage.front_desk(), now=now)
    message = Message.objects.get(what="visit_moved")
    assert "15:00" in message.subject
    assert booking.diary(message)[2:] == (3, start + 5 * HOUR)
    assert messages.claim_next(now + timedelta(minutes=2)).what == "visit_booked"
    assert messages.claim_next(now + timedelta(minutes=2)) is None
    assert messages.claim_next(now + timedelta(minutes=3)) == message


def test_what_is_no_longer_so_when_it_would_go_out_is_not_sent(visit):
    now, start = timezone.now(), visit.starts_at
    visit = visits.move(visit, starts_at=start + 4 * HOUR, by=garage.front_desk(), now=now)
    visits.call_off(visit, why="ill", by=garage.front_desk(), now=now)
    assert [what for what, _ in _waiting()] == ["visit_called_off"]
    assert Message.objects.get(what="visit_called_off").due_at == now


def test_a_mail_that_is_going_out_is_followed_by_the_next(visit):
    now, start = timezone.now(), visit.starts_at
    visit = visits.move(visit, starts_at=start + 4 * HOUR, by=garage.front_desk(), now=now)
    Message.objects.filter(what="visit_moved").update(tries=1)
    visits.move(visit, starts_at=start + 5 * HOUR, by=garage.front_desk(), now=now)
    assert [what for what, _ in _waiting()] == ["visit_moved", "visit_moved"]


def test_what_tells_of_another_visit_stays(visit):
    now = timezone.now()
    other = booking.booked(visit.kind, visit.starts_at + 4 * HOUR)
    visits.move(other, starts_at=visit.starts_at + 5.5 * HOUR, by=garage.front_desk(), now=now)
    visits.call_off(visit, why="ill", by=garage.front_desk(), now=now)
    assert [what for what, _ in _waiting()] == ["visit_moved", "visit_called_off"]


def test_an_owner_moves_three_times_within_a_day_and_then_rings(visit):
    now, start = timezone.now(), visit.starts_at
    for hours in (4, 4.5, 5):
        visit = visits.move_by_owner(visit, starts_at=start + hours * HOUR, now=now)
    with pytest.raises(Refused, match="moved 3 times within a day: ring 01632 960100"):
        visits.move_by_owner(visit, starts_at=start, now=now + timedelta(hours=23))
    visits.move(visit, starts_at=start + 4 * HOUR, by=garage.front_desk(), now=now)
    visits.move_by_owner(visit, starts_at=start, now=now + timedelta(hours=25))


def test_a_move_that_is_refused_is_not_counted(visit):
    now, start = timezone.now(), visit.starts_at
    for _ in range(4):
        with pytest.raises(Refused, match="outside the opening hours"):
            visits.move_by_owner(visit, starts_at=start + 12 * HOUR, now=now)
    visits.move_by_owner(visit, starts_at=start + 4 * HOUR, now=now)
