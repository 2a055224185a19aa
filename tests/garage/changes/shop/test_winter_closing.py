"""While the garage is closed nothing is sold, held, given, kept or offered, by any door."""

from datetime import timedelta

import pytest

from garage.changes.day import holds
from garage.changes.shop import shop as shop_changes
from garage.changes.visit import bookings, offers, standby, visits
from garage.core.errors import BadInput, Refused
from garage.models.actors import OWNER
from garage.models.shop import ClosedDay
from garage.models.standby import FreedTime, Offer
from garage.models.trail import TrailRow
from garage.models.visits import Hold
from garage.reads import free
from garage.reads.shop import the_shop
from tests.factories import booking, garage

pytestmark = pytest.mark.django_db
A_DAY, HOUR = timedelta(days=1), timedelta(hours=1)


@pytest.fixture
def now(start):
    return start - 72 * HOUR


def closed(start, *, days=14):
    first = start.date() - 3 * A_DAY
    shop_changes.close_days(
        first=first, last=first + (days - 1) * A_DAY, why="winter closing", by=garage.boss(), now=start - 72 * HOUR
    )


def test_no_time_is_shown_sold_held_or_given(kind, start, now):
    moved = booking.booked(kind, booking.at_local(booking.workday(ahead=25), 10))
    closed(start)
    by, shop = garage.boss(), the_shop()
    for asked in (free.asked_online(kind, shop), free.asked_at_the_desk(kind, shop), free.asked_by_owner(moved, shop)):
        assert free.free_on(asked, start.date(), now=now) == ()
        assert free.free_days(asked, count=1, now=now)[0].day > start.date() + 10 * A_DAY
    doors = (
        lambda: bookings.book_online(booking.draft(kind, start), browser="b", address_key="here", now=now),
        lambda: bookings.book_at_the_desk(booking.draft(kind, start), by=by, now=now),
        lambda: holds.take(browser="b", address_key="a", kind=kind, starts_at=start, now=now),
        lambda: visits.move(moved, starts_at=start, by=by, now=now),
        lambda: visits.move_by_owner(moved, starts_at=start, now=now),
    )
    for door in doors:
        with pytest.raises(Refused, match="winter closing"):
            door()
    assert not Hold.objects.exists()


def test_a_hold_of_before_sells_nothing(kind, start, now):
    holds.take(browser="b", address_key="a", kind=kind, starts_at=start, now=now)
    closed(start)
    with pytest.raises(Refused, match="winter closing"):
        bookings.book_online(booking.draft(kind, start), browser="b", address_key="here", now=now)


def test_a_time_that_is_given_back_there_is_neither_kept_nor_offered(visit, kind, start, now):
    waits = booking.booked(kind, booking.at_local(booking.workday(ahead=25), 10), email="later@example.org")
    standby.ask(waits, notice_hours=2, weekdays=range(7), by=OWNER, now=now)
    closed(start)
    visits.call_off_by_owner(visit, why="", now=now)
    row = FreedTime.objects.get(visit=visit)
    assert (row.hold, row.closed_at) == (None, now)
    offers.offer_all_due(now=now)
    assert not Offer.objects.exists()


@pytest.mark.parametrize("is_offered", [False, True])
def test_a_time_kept_before_it_was_closed_is_let_go_and_a_yes_comes_too_late(visit, kind, start, now, is_offered):
    waits = booking.booked(kind, booking.at_local(booking.workday(ahead=25), 10), email="later@example.org")
    standby.ask(waits, notice_hours=2, weekdays=range(7), by=OWNER, now=now)
    visits.call_off_by_owner(visit, why="", now=now)
    if is_offered:
        offers.offer_all_due(now=now)
    closed(start)
    for offer in Offer.objects.all():
        with pytest.raises(Refused, match="winter closing"):
            offers.accept(offer, by=OWNER, now=now)
    offers.offer_all_due(now=now)
    assert (FreedTime.objects.get(visit=visit).hold, Hold.objects.count()) == (None, 0)
    assert [offer.answer for offer in Offer.objects.all()] == [Offer.GONE] * is_offered


def test_days_on_the_list_already_stay_and_the_trail_says_the_whole_stretch(kind, start):
    first = start.date()
    ClosedDay.objects.create(day=first + A_DAY, why="stocktaking")
    shop_changes.close_days(first=first, last=first + 2 * A_DAY, why="winter", by=garage.boss(), now=start)
    assert list(ClosedDay.objects.values_list("why", flat=True)) == ["winter", "stocktaking", "winter"]
    assert TrailRow.objects.filter(did=f"closes from {first} to {first + 2 * A_DAY}: winter").exists()


@pytest.mark.parametrize("ahead", [-1, 0, 120])
def test_a_stretch_ends_after_it_begins_and_within_a_winter(kind, start, ahead):
    first = start.date()
    with pytest.raises(BadInput, match="within 120 days"):
        shop_changes.close_days(first=first, last=first + ahead * A_DAY, why="w", by=garage.boss(), now=start)
    shop_changes.close_days(first=first, last=first + 119 * A_DAY, why="w", by=garage.boss(), now=start)
    assert ClosedDay.objects.count() == 120


def test_a_holiday_that_is_worked_is_not_closed_over(kind, start):
    first = start.date()
    ClosedDay.objects.create(day=first + A_DAY, why="the show", open_after_all=True)
    with pytest.raises(BadInput, match="on the list as worked"):
        shop_changes.close_days(first=first, last=first + 2 * A_DAY, why="w", by=garage.boss(), now=start)
    assert ClosedDay.objects.count() == 1
