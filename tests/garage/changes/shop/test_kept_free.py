"""What is kept free is written a row a weekday and place, with a trail, and bounds what is sold online."""

from __future__ import annotations

import pytest
from django.utils import timezone

from garage.changes.day import holds, selling
from garage.changes.shop import kept_free
from garage.changes.visit import bookings, visits
from garage.core.errors import BadInput
from garage.models.people import WorkingHours
from garage.models.shop import KeptTime
from garage.models.trail import TrailRow
from tests.factories import booking
from tests.factories import garage as make

pytestmark = pytest.mark.django_db
EVERY_DAY = range(5)


@pytest.fixture
def boss():
    make.shop(guard_minutes=0)
    return make.boss(does_bench=False, does_rollers=False)


def keep(boss, minutes: int, at: str = "bench") -> None:
    kept_free.keep_free({(day, at): minutes for day in EVERY_DAY}, by=boss, now=timezone.now())


def test_the_rules_are_kept_and_changed_with_a_trail(boss):
    kept_free.keep_free({(0, "bench"): 60, (0, "roller"): 0}, by=boss, now=timezone.now())
    kept_free.keep_free({(0, "bench"): 60, (0, "roller"): 0}, by=boss, now=timezone.now())
    kept_free.keep_free({(0, "bench"): 45, (4, "roller"): 30}, by=boss, now=timezone.now())
    assert list(KeptTime.objects.values_list("weekday", "at", "minutes")) == [(0, "bench", 45), (4, "roller", 30)]
    details = [row.detail for row in TrailRow.objects.filter(did="changed what is kept free").order_by("pk")]
    assert details == [
        {"before": [], "after": ["Monday: 60 min, bench"]},
        {"before": ["Monday: 60 min, bench"], "after": ["Monday: 45 min, bench", "Friday: 30 min, rollers"]},
    ]


def test_a_refused_rule_changes_nothing(boss):
    keep(boss, 60)
    with pytest.raises(BadInput, match="Sunday: bench is 10; allowed is 0: the garage is closed on Sundays"):
        kept_free.keep_free({(6, "bench"): 10}, by=boss, now=timezone.now())
    assert KeptTime.objects.count() == 5


@pytest.fixture
def last_hour(boss):
    """One person, here for two hours without a break, and a bench hour to be sold."""
    make.person()
    WorkingHours.objects.update(begins="09:00", ends="11:00", break_begins=None, break_ends=None)
    kind = make.visit_kind(slug="bench", at="bench", minutes=60)
    return kind, booking.at_local(booking.workday(ahead=5), 9)


def test_a_sale_online_that_would_take_the_last_kept_minutes_is_refused(boss, last_hour):
    kind, nine = last_hour
    keep(boss, 60)
    booking.booked(kind, nine)
    with pytest.raises(selling.TimeTaken, match="not free any more"):
        booking.booked(kind, booking.at_local(booking.workday(ahead=5), 10))
    keep(boss, 0)
    assert booking.booked(kind, booking.at_local(booking.workday(ahead=5), 10)).minutes == 60


def test_a_hold_is_refused_too_and_one_that_stands_is_booked_whatever_is_kept_since(boss, last_hour):
    kind, nine = last_hour
    now = timezone.now()
    asked = {"browser": "mine", "address_key": "a", "kind": kind, "starts_at": nine, "now": now}
    keep(boss, 120)
    with pytest.raises(selling.TimeTaken):
        holds.take(**asked)
    keep(boss, 0)
    holds.take(**asked)
    keep(boss, 120)
    draft = booking.draft(kind, nine)
    assert bookings.book_online(draft, browser="mine", address_key="here", now=now).starts_at == nine


def test_the_desk_may_sell_into_it_and_its_owner_may_not_move_into_it(boss, last_hour):
    kind, nine = last_hour
    keep(boss, 120)
    visit = bookings.book_at_the_desk(booking.draft(kind, nine), by=boss, now=timezone.now())
    with pytest.raises(selling.TimeTaken):
        visits.move_by_owner(visit, starts_at=booking.at_local(booking.workday(ahead=5), 10), now=timezone.now())
    moved = visits.move(visit, starts_at=booking.at_local(booking.workday(ahead=5), 10), by=boss, now=timezone.now())
    assert moved.starts_at == booking.at_local(booking.workday(ahead=5), 10)
