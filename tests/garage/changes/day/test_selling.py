"""A time is sold once, and never more than the day can do."""

from __future__ import annotations

from datetime import time, timedelta

import pytest
from django.db import IntegrityError, transaction
from django.utils import timezone

from garage.changes.day import selling
from garage.changes.day.constraints import broke, broke_unique
from garage.changes.visit import bookings
from garage.core.errors import Refused
from garage.core.time import clock
from garage.models.messages import Message
from garage.models.owners import Machine, Owner
from garage.models.shop import ClosedDay, Station
from garage.models.trail import TrailRow
from garage.models.visits import Day, Hold, SoldPiece, Step, Visit
from garage.reads import free
from garage.reads.shop import the_shop
from tests.factories import booking, garage
from tests.sentences import refuses

pytestmark = pytest.mark.django_db


@pytest.fixture
def roller_kind():
    garage.shop()
    garage.person()
    garage.person()
    return garage.visit_kind(minutes=45)


def test_a_booking_takes_one_row_for_each_five_minutes(roller_kind):
    start = booking.at_local(booking.workday(), 10)
    visit = booking.booked(roller_kind, start)
    rows = SoldPiece.objects.filter(visit=visit).order_by("begins_at")
    assert [row.begins_at for row in rows] == [start + timedelta(minutes=5 * n) for n in range(9)]
    assert {(row.at, row.place) for row in rows} == {("roller", 1)}


def test_a_length_is_rounded_up_to_whole_pieces(roller_kind):
    kind = garage.visit_kind(slug="odd", minutes=41)
    visit = booking.booked(kind, booking.at_local(booking.workday(), 10))
    assert (visit.minutes, visit.pieces.count()) == (45, 9)


def test_a_time_is_refused_once_its_only_roller_is_sold_and_leaves_nothing_behind(roller_kind):
    start = booking.at_local(booking.workday(), 10)
    booking.booked(roller_kind, start)
    before = _counted()
    with pytest.raises(selling.TimeTaken, match="not free any more"):
        booking.booked(roller_kind, start + timedelta(minutes=30))
    assert _counted() == before


def test_a_time_can_be_sold_from_the_very_end_of_another(roller_kind):
    start = booking.at_local(booking.workday(), 10)
    booking.booked(roller_kind, start)
    assert booking.booked(roller_kind, start + timedelta(minutes=45)).starts_at == start + timedelta(minutes=45)


def test_with_two_rollers_the_second_sale_of_a_time_takes_the_second_place(roller_kind):
    Station.objects.create(kind="roller", number=2, name="Roller 2")
    start = booking.at_local(booking.workday(), 10)
    booking.booked(roller_kind, start)
    second = booking.booked(roller_kind, start)
    assert {row.place for row in second.pieces.all()} == {2}
    with pytest.raises(selling.TimeTaken):
        booking.booked(roller_kind, start)


def test_each_piece_takes_the_lowest_free_place_so_that_times_within_capacity_always_fit(roller_kind):
    Station.objects.create(kind="roller", number=2, name="Roller 2")
    day = booking.workday()
    long = garage.visit_kind(slug="long", minutes=90)
    booking.booked(roller_kind, booking.at_local(day, 9))  # place 1, to 9:45
    booking.booked(roller_kind, booking.at_local(day, 9, 30))  # from 9:45 on place 1 is free again
    visit = booking.booked(long, booking.at_local(day, 10, 15))
    assert {row.place for row in visit.pieces.all()} == {1}


def test_one_mechanic_cannot_serve_two_rollers_at_once_though_both_are_free():
    garage.shop()
    garage.person()
    kind = garage.visit_kind(minutes=90)
    Station.objects.create(kind="roller", number=2, name="Roller 2")
    start = booking.at_local(booking.workday(), 9)
    booking.booked(kind, start)
    with pytest.raises(selling.TimeTaken):
        booking.booked(kind, start + timedelta(minutes=60))
    assert booking.booked(kind, start + timedelta(minutes=100))


@pytest.mark.parametrize(
    ("hour", "minute", "sentence"),
    [(7, 30, "opening hours"), (17, 0, "opening hours"), (10, 2, "multiple of five minutes")],
    ids=["before opening", "past closing", "between two pieces"],
)
def test_a_time_outside_the_hours_or_off_the_pieces_is_refused(roller_kind, hour, minute, sentence):
    with pytest.raises(Refused, match=sentence):
        booking.booked(roller_kind, booking.at_local(booking.workday(), hour, minute))


def test_a_time_in_the_past_or_beyond_the_horizon_is_refused(roller_kind):
    with pytest.raises(Refused, match="too soon"):
        booking.booked(roller_kind, booking.at_local(booking.workday(ahead=-9), 10))
    with pytest.raises(Refused, match="too far ahead"):
        booking.booked(roller_kind, booking.at_local(booking.workday(ahead=60), 10))


def test_a_closed_day_is_refused_with_its_reason(roller_kind):
    day = booking.workday()
    ClosedDay.objects.create(day=day, why="stocktaking")
    with pytest.raises(Refused, match="stocktaking"):
        booking.booked(roller_kind, booking.at_local(day, 10))


def test_a_lapsed_hold_is_freed_by_the_next_sale(roller_kind):
    start = booking.at_local(booking.workday(), 10)
    hold = booking.hold(roller_kind, start)
    with pytest.raises(selling.TimeTaken):
        booking.booked(roller_kind, start)
    Hold.objects.filter(pk=hold.pk).update(expires_at=hold.began_at)
    visit = booking.booked(roller_kind, start)
    assert not Hold.objects.exists()
    assert SoldPiece.objects.count() == visit.pieces.count() == 9


def test_a_time_given_back_can_be_sold_again(roller_kind):
    start = booking.at_local(booking.workday(), 10)
    visit = booking.booked(roller_kind, start)
    selling.give_back(visit, the_shop())
    visit.refresh_from_db()
    assert (visit.at, visit.starts_at, visit.minutes) == ("", None, 0)
    assert booking.booked(roller_kind, start).starts_at == start


def test_the_database_itself_refuses_a_second_sale_and_the_error_is_recognised(roller_kind):
    visit = booking.booked(roller_kind, booking.at_local(booking.workday(), 10))
    sold = visit.pieces.first()
    with pytest.raises(IntegrityError) as caught, transaction.atomic():
        SoldPiece.objects.create(at=sold.at, place=sold.place, begins_at=sold.begins_at, visit=visit)
    assert broke(caught.value, SoldPiece, "never_sold_twice")
    assert not broke_unique(caught.value, Visit, "number")


def test_another_constraint_is_recognised_as_different(roller_kind):
    visit = booking.booked(roller_kind, booking.at_local(booking.workday(), 10))
    with pytest.raises(IntegrityError) as caught, transaction.atomic():
        garage.visit(number=visit.number)
    assert broke_unique(caught.value, Visit, "number")
    assert not broke(caught.value, SoldPiece, "never_sold_twice")


def test_the_desk_may_book_at_short_notice_but_not_beyond_what_the_day_can_do(roller_kind):
    by = garage.front_desk()
    start = booking.at_local(booking.workday(), 10)
    bookings.book_at_the_desk(booking.draft(roller_kind, start), by=by, now=timezone.now())
    with pytest.raises(selling.TimeTaken):
        bookings.book_at_the_desk(booking.draft(roller_kind, start), by=by, now=timezone.now())


def test_a_sold_time_stands_on_the_visit_and_its_pieces_name_no_hold(roller_kind):
    start = booking.at_local(booking.workday(), 10)
    visit = booking.booked(roller_kind, start)
    visit.refresh_from_db()
    assert (visit.at, visit.starts_at, visit.minutes) == ("roller", start, 45)
    assert set(visit.pieces.values_list("hold", flat=True)) == {None}


def test_a_visit_with_a_time_is_not_sold_another(roller_kind):
    start = booking.at_local(booking.workday(), 10)
    visit, shop = booking.booked(roller_kind, start), the_shop()
    asked = free.asked_at_the_desk(roller_kind, shop)
    with refuses(f"Visit {visit.number} has a time already: move it instead."):
        selling.sell(visit, asked=asked, starts_at=start + timedelta(hours=3, minutes=30), now=timezone.now())


def test_a_taken_time_is_said_in_words_and_carries_what_was_asked_for(roller_kind):
    start = booking.at_local(booking.workday(), 10)
    booking.booked(roller_kind, start)
    words = the_shop().local_time.in_words(start)
    sentence = f"{words} is not free any more. Choose another time; nothing you have typed is lost."
    with pytest.raises(selling.TimeTaken) as caught:
        booking.booked(roller_kind, start)
    assert (str(caught.value), caught.value.starts_at) == (sentence, start)
    assert (caught.value.asked.at, caught.value.asked.minutes) == ("roller", 45)


def test_each_refusal_of_a_time_says_what_to_do_instead(roller_kind):
    garage.shop(notice_minutes=60, bookable_days=20, gate_minutes=10)
    day, local = booking.workday(), the_shop().local_time

    def refused(start, why, now=None):
        with refuses(f"{local.in_words(start)} {why}"):
            bookings.book_online(
                booking.draft(roller_kind, start), browser="nobody", address_key="here", now=now or timezone.now()
            )

    refused(booking.at_local(day, 10, 2), "is not a multiple of five minutes: choose one of the times shown.")
    for hour, minute in ((7, 55), (16, 50)):
        outside = "is outside the opening hours of that day: choose another time."
        refused(booking.at_local(day, hour, minute), outside)
    start = booking.at_local(day, 10)
    too_soon = "is too soon to book here: choose a later time, or ring 01632 960100."
    refused(start, too_soon, now=start - timedelta(minutes=59))
    assert booking.booked(roller_kind, booking.at_local(day, 16, 30)).minutes == 45
    ClosedDay.objects.create(day=day, why="stocktaking")
    sentence = f"Quarry Lane Rolling Road is closed on {clock.day_in_words(day)} (stocktaking): choose another day."
    with refuses(sentence):
        booking.booked(roller_kind, start)


def test_a_time_is_sold_at_the_edges_of_hours_notice_and_horizon(roller_kind):
    garage.shop(notice_minutes=60, bookable_days=20, gate_minutes=10)
    day = booking.workday()
    start = booking.at_local(day, 8)
    draft = booking.draft(roller_kind, start)
    assert (
        bookings.book_online(draft, browser="nobody", address_key="here", now=start - timedelta(minutes=60)).starts_at
        == start
    )
    last = booking.at_local(day, 10)
    draft = booking.draft(roller_kind, last)
    now = last - timedelta(days=20)
    assert bookings.book_online(draft, browser="nobody", address_key="here", now=now).starts_at == last
    other = booking.draft(roller_kind, booking.at_local(day, 14))
    words = the_shop().local_time.in_words(other.starts_at)
    with refuses(f"{words} is too far ahead: times can be booked 20 days ahead."):
        bookings.book_online(other, browser="nobody", address_key="here", now=now - timedelta(days=1))


def test_nothing_is_given_back_of_a_visit_without_a_time(roller_kind):
    visit = garage.visit(at="", starts_at=None, minutes=0)
    selling.give_back(visit, the_shop())
    selling.free_what_is_ahead(visit, the_shop(), now=timezone.now())
    assert not Day.objects.exists()


def test_only_the_visits_own_time_is_given_back_and_its_row_says_so(roller_kind):
    start = booking.at_local(booking.workday(), 10)
    visit, other = (
        booking.booked(roller_kind, start),
        booking.booked(roller_kind, start + timedelta(hours=3, minutes=30)),
    )
    Day.objects.all().delete()
    selling.give_back(visit, the_shop())
    assert (visit.at, visit.starts_at, visit.minutes) == ("", None, 0)
    visit.refresh_from_db()
    assert (visit.at, visit.starts_at, visit.minutes) == ("", None, 0)
    assert set(SoldPiece.objects.values_list("visit", flat=True)) == {other.pk}
    assert Day.objects.get().day == start.date()


def test_what_is_ahead_of_an_ended_visit_is_freed_and_its_agreed_time_stays(roller_kind):
    start = booking.at_local(booking.workday(), 10)
    visit, other = (
        booking.booked(roller_kind, start),
        booking.booked(roller_kind, start + timedelta(hours=3, minutes=30)),
    )
    Day.objects.all().delete()
    selling.free_what_is_ahead(visit, the_shop(), now=start + timedelta(minutes=10))
    visit.refresh_from_db()
    assert [piece.begins_at for piece in visit.pieces.order_by("begins_at")] == [
        start + timedelta(minutes=minutes) for minutes in (0, 5, 10)
    ]
    assert (visit.starts_at, visit.minutes, other.pieces.count()) == (start, 45, 9)
    assert Day.objects.get().day == start.date()


def test_lapsed_holds_of_the_day_are_freed_from_its_first_moment_to_its_last(roller_kind):
    day, now = booking.workday(), timezone.now()
    local = the_shop().local_time
    first, end = local.bounds(day, day)
    for browser, start, lapses in (
        ("before", first - timedelta(minutes=5), now),
        ("first", first, now),
        ("last", end - timedelta(minutes=5), now),
        ("after", end, now),
        ("open", first, now + timedelta(seconds=1)),
    ):
        Hold.objects.create(
            browser=browser, kind=roller_kind, starts_at=start, minutes=5, began_at=now, expires_at=lapses
        )
    selling.free_lapsed_on(day, local, now=now)
    assert set(Hold.objects.values_list("browser", flat=True)) == {"before", "after", "open"}


def test_what_only_the_constraint_sees_is_refused_as_taken(roller_kind):
    """Pieces of the visit itself are not in its way when the day is read; here they were left behind."""
    start, shop = booking.at_local(booking.workday(), 10), the_shop()
    visit = booking.booked(roller_kind, start)
    Visit.objects.filter(pk=visit.pk).update(at="", starts_at=None, minutes=0)
    visit.refresh_from_db()
    asked = free.asked_for(visit, at="roller", minutes=45, shop=shop)
    with pytest.raises(selling.TimeTaken, match="is not free any more"):
        selling.sell(visit, asked=asked, starts_at=start, now=timezone.now())
    assert SoldPiece.objects.count() == 9


def _counted():
    return [model.objects.count() for model in (Owner, Machine, Visit, SoldPiece, Step, Message, TrailRow)]


@pytest.mark.parametrize(
    ("begins", "ends", "has_rollers", "words"),
    [
        (time(10, 5), None, True, "run from 10:05"),
        (None, time(10, 49), True, "run until 10:49"),
        (time(10, 5), time(12), True, "run from 10:05 to 12:00"),
        (None, None, False, "do not run"),
    ],
)
def test_no_session_is_sold_or_held_outside_the_roller_hours(roller_kind, begins, ends, has_rollers, words):
    garage.roller_hours(begins, ends, has_rollers=has_rollers)
    start = booking.at_local(booking.workday(), 10)
    said = f"is outside the roller hours: that day the rollers {words}. Choose another time."
    with pytest.raises(Refused, match=said):
        booking.booked(roller_kind, start)
    with pytest.raises(Refused, match=said):
        booking.hold(roller_kind, start)
    assert not SoldPiece.objects.exists()


def test_a_session_may_take_the_roller_hours_to_their_last_minute_with_its_straps(roller_kind):
    garage.roller_hours(time(10), time(10, 50))
    assert booking.booked(roller_kind, booking.at_local(booking.workday(), 10)).minutes == 45


def test_the_bench_is_sold_outside_the_roller_hours(roller_kind):
    garage.roller_hours(has_rollers=False)
    bench = garage.visit_kind(slug="bench", at="bench", minutes=60)
    assert booking.booked(bench, booking.at_local(booking.workday(), 10)).at == "bench"
