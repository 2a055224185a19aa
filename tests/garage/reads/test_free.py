"""Which times are offered: open days, places not taken, and days that can still keep every promise."""

from __future__ import annotations

from datetime import UTC, date, datetime, time

import pytest
from django.utils import timezone

from garage.core.time.local_time import LocalTime
from garage.models.people import Away, Person, WorkingHours
from garage.models.shop import ClosedDay, OpeningHours, Station
from garage.reads import free
from garage.reads.shop import the_shop
from tests.factories import booking, garage

pytestmark = pytest.mark.django_db
LONDON = LocalTime.named("Europe/London")


@pytest.fixture
def kind():
    garage.shop(notice_minutes=120)
    garage.person(first_name="One")
    garage.person(first_name="Two")
    return garage.visit_kind(minutes=90)


def _local(times):
    return [f"{LONDON.shown(at):%H:%M}" for at in times]


def _on(kind, day, shop=None):
    return _local(free.free_on(free.asked_online(kind, shop or the_shop()), day, now=timezone.now()))


def _first(kind, now=None):
    return free.first_free([kind], the_shop(), now=now or timezone.now())[0]


def test_an_empty_day_is_free_on_every_half_hour_that_breaks_and_closing_allow(kind):
    # Two people, dinner 12:30 to 13:00 for both, closing 17:30. The gate at the bench needs 20 minutes before the
    # rollers, and 5 more are spent there on strapping down.
    assert _on(kind, booking.workday(ahead=5)) == [
        *("08:30", "09:00", "09:30", "10:00", "10:30"),
        *("13:30", "14:00", "14:30", "15:00", "15:30"),
    ]


def test_a_sold_time_takes_its_own_and_what_would_overlap_it(kind):
    day = booking.workday(ahead=5)
    booking.booked(kind, booking.at_local(day, 10))
    assert _on(kind, day)[:3] == ["08:30", "13:30", "14:00"]


def test_a_held_time_is_not_offered_but_to_the_browser_that_holds_it(kind):
    day = booking.workday(ahead=5)
    booking.hold(kind, booking.at_local(day, 10), browser="mine")
    shop = the_shop()
    assert "10:00" not in _on(kind, day)
    assert "10:00" in _local(free.free_on(free.asked_online(kind, shop, browser="mine"), day, now=timezone.now()))


def test_people_limit_capacity_as_well_as_rollers(kind):
    Station.objects.create(kind="roller", number=2, name="Roller 2")
    day = booking.workday(ahead=5)
    booking.booked(kind, booking.at_local(day, 10))
    assert "10:00" in _on(kind, day)
    Away.objects.create(person=Person.objects.get(first_name="Two"), first_day=day, last_day=day)
    assert "10:00" not in _on(kind, day)


def test_nothing_is_free_when_nobody_who_can_is_there(kind):
    Person.objects.update(does_rollers=False)
    assert _on(kind, booking.workday(ahead=5)) == []


def test_closed_days_and_bank_holidays_are_left_out(kind):
    # 28 December 2026 is the substitute for Boxing Day (gov.uk bank holidays; holidays library).
    now = datetime(2026, 12, 21, 9, tzinfo=UTC)
    ClosedDay.objects.create(day=date(2026, 12, 23), why="stocktaking")
    days = free.free_days(free.asked_online(kind, the_shop()), count=5, now=now)
    assert [found.day.isoformat() for found in days] == [
        *("2026-12-21", "2026-12-22", "2026-12-24", "2026-12-29", "2026-12-30"),
    ]


def test_a_bank_holiday_that_is_worked_is_offered(kind):
    now = datetime(2026, 12, 24, 9, tzinfo=UTC)
    ClosedDay.objects.create(day=date(2026, 12, 28), why="open", open_after_all=True)
    days = [found.day for found in free.free_days(free.asked_online(kind, the_shop()), count=3, now=now)]
    assert date(2026, 12, 28) in days


def test_the_first_free_time_keeps_the_notice(kind):
    now = datetime(2026, 12, 21, 9, 10, tzinfo=UTC)  # winter: local time is UTC
    found = _first(kind, now=now)
    # 11:10 is two hours on; 11:30 would run into dinner, and for 13:00 nobody is there for the gate before it.
    assert found == datetime(2026, 12, 21, 13, 30, tzinfo=UTC)


@pytest.mark.parametrize(("minute", "first"), [(0, "11:00"), (1, "11:30")])
def test_a_time_is_offered_up_to_the_minute_at_which_its_notice_begins(kind, minute, first):
    now = datetime(2026, 12, 21, 9, minute, tzinfo=UTC)
    bench = garage.visit_kind(slug="bench", at="bench", minutes=30)
    offered = free.free_on(free.asked_online(bench, the_shop()), date(2026, 12, 21), now=now)
    assert _local(offered)[0] == first


def test_what_is_offered_begins_at_opening_and_ends_at_closing_however_long_people_stay(kind):
    WorkingHours.objects.update(begins=time(6), ends=time(21))
    bench = garage.visit_kind(slug="bench", at="bench", minutes=30)
    offered = _on(bench, booking.workday(ahead=5))
    assert (offered[0], offered[-1]) == ("08:00", "17:00")


@pytest.mark.parametrize(("ahead", "last"), [(7, date(2026, 11, 9)), (8, date(2026, 11, 10))])
def test_the_last_day_that_can_be_booked_is_offered_and_none_after_it(kind, ahead, last):
    garage.shop(bookable_days=ahead)
    now = datetime(2026, 11, 2, 9, tzinfo=UTC)  # a Monday
    days = free.free_days(free.asked_online(kind, the_shop()), count=99, now=now)
    assert (days[0].day, days[-1].day) == (date(2026, 11, 2), last)


@pytest.mark.parametrize("taken", [[], [8.5], [8.5, 10], [8.5, 10, 13.5]])
def test_the_first_time_of_a_day_is_the_first_of_all_its_times(kind, taken):
    """It is looked for a few at a time; sold are the first hours, so that it lies further on in the day each time."""
    day = booking.workday(ahead=5)
    for hour in taken:
        booking.booked(kind, booking.at_local(day, int(hour), int(hour % 1 * 60)))
    search = free.search_days(free.asked_online(kind, the_shop()), day, day, timezone.now())
    assert search.first_on(day) == search.on(day)[0]


def test_the_first_free_time_is_on_a_later_day_when_this_one_is_full(kind):
    Person.objects.update(does_rollers=False)
    assert _first(kind) is None
    Person.objects.update(does_rollers=True)
    first = _first(kind)
    Away.objects.create(person=Person.objects.first(), first_day=first.date(), last_day=first.date())
    Away.objects.create(person=Person.objects.last(), first_day=first.date(), last_day=first.date())
    assert _first(kind).date() > first.date()


@pytest.mark.parametrize(
    ("day", "utc_hour"),
    [
        (date(2027, 3, 26), 10),
        (date(2027, 3, 30), 9),
        (date(2026, 10, 23), 9),
        (date(2026, 10, 26), 10),
    ],
    ids=["winter time", "summer time from 2027-03-28T01:00Z", "summer time", "winter time from 2026-10-25T01:00Z"],
)
def test_ten_o_clock_is_ten_by_the_garages_clock_on_both_sides_of_a_change(kind, day, utc_hour):
    # Instants of the changes: gov.uk data file and tz database. Good Friday 2027 is 26 March: worked here.
    ClosedDay.objects.create(day=date(2027, 3, 26), why="open", open_after_all=True)
    times = free.free_on(free.asked_online(kind, the_shop()), day, now=datetime(2026, 10, 1, tzinfo=UTC))
    assert datetime(day.year, day.month, day.day, utc_hour, tzinfo=UTC) in times


def test_on_the_night_of_the_change_the_hour_that_is_missing_is_never_offered(kind):
    """A garage that works on Sunday nights: 01:00 to 02:00 does not exist on 28 March 2027."""
    OpeningHours.objects.create(weekday=6, opens=time(0), closes=time(6))
    for person in Person.objects.all():
        WorkingHours.objects.create(person=person, weekday=6, begins=time(0), ends=time(6))
    bench = garage.visit_kind(slug="bench", at="bench", minutes=30)
    asked = free.asked_online(bench, the_shop())
    times = free.free_on(asked, date(2027, 3, 28), now=datetime(2027, 3, 20, tzinfo=UTC))
    assert not [said for said in _local(times) if said.startswith("01")]
    assert len(set(times)) == len(times)
    assert "02:00" in _local(times)


def test_nearest_times_lie_around_the_one_that_could_not_be_had(kind):
    day = booking.workday(ahead=5)
    start = booking.at_local(day, 14)
    booking.booked(kind, start)
    asked = free.asked_online(kind, the_shop())
    near = free.nearest_free(asked, start, now=timezone.now())
    assert _local(near) == ["10:00", "10:30", "15:30"]
    assert {LONDON.day(at) for at in near} == {day}


def test_nearest_times_go_to_the_days_around_when_the_day_has_none(kind):
    day = booking.workday(ahead=5)
    for person in Person.objects.all():
        Away.objects.create(person=person, first_day=day, last_day=day)
    near = free.nearest_free(free.asked_online(kind, the_shop()), booking.at_local(day, 10), now=timezone.now())
    assert len(near) == 3
    assert all(LONDON.day(at) != day for at in near)


def test_a_visit_that_moves_is_not_in_its_own_way(kind):
    day = booking.workday(ahead=5)
    visit = booking.booked(kind, booking.at_local(day, 10))
    asked = free.asked_for(visit, at="roller", minutes=90, shop=the_shop())
    assert {"09:45", "10:00", "10:15"} <= set(_local(free.free_on(asked, day, now=timezone.now())))


def test_a_machine_that_stands_passed_at_the_bench_needs_no_time_there_again(kind):
    visit = booking.booked(kind, booking.at_local(booking.workday(ahead=5), 10))
    wanted = [free.asked_for(visit, at="roller", minutes=90, shop=the_shop()).wanted]
    visit.gate_at_bench_passed_at = timezone.now()
    wanted.append(free.asked_for(visit, at="roller", minutes=90, shop=the_shop()).wanted)
    assert [[(step.at, step.minutes) for step in one.steps] for one in wanted] == [
        [("bench", 20), ("roller", 95)],
        [("roller", 95)],
    ]


def test_looking_for_the_first_time_takes_few_queries(kind, django_assert_max_num_queries):
    for nth in (3, 5, 6):
        booking.booked(kind, booking.at_local(booking.open_day(nth), 10))
    with django_assert_max_num_queries(12):  # what is kept free is one
        _first(kind)


def test_each_further_kind_costs_one_query_for_the_places_taken(kind, django_assert_max_num_queries):
    bench = garage.visit_kind(slug="bench", at="bench", minutes=30)
    booking.booked(kind, booking.at_local(booking.open_day(3), 10))
    alone = [_first(kind), _first(bench)]
    with django_assert_max_num_queries(14):
        assert free.first_free([kind, bench, kind], the_shop(), now=timezone.now()) == alone + alone[:1]


def test_every_time_offered_can_be_booked(kind):
    """The offer and the sale judge alike: each first offered time is sold until the day is full."""
    day = booking.workday(ahead=5)
    asked = free.asked_online(kind, the_shop())
    sold = 0
    while times := free.free_on(asked, day, now=timezone.now()):
        booking.booked(kind, times[0])
        sold += 1
    assert sold == 4


def test_no_time_is_offered_outside_the_roller_hours_online_or_at_the_desk(kind):
    garage.roller_hours(time(9), time(16))
    day = booking.workday(ahead=5)
    # 90 minutes and 5 for strapping down: from 14:25 at the latest, on each grid.
    assert _on(kind, day) == ["09:00", "09:30", "10:00", "10:30", "13:30", "14:00"]
    at_the_desk = _local(free.free_on(free.asked_at_the_desk(kind, the_shop()), day, now=timezone.now()))
    assert (at_the_desk[0], at_the_desk[-1]) == ("09:00", "14:15")


def test_on_a_day_without_rollers_bench_work_is_still_offered(kind):
    garage.roller_hours(has_rollers=False)
    bench, day = garage.visit_kind(slug="bench", at="bench", minutes=60), booking.workday(ahead=5)
    assert _on(kind, day) == []
    assert _on(bench, day)[0] == "08:00"
    assert _first(kind) is None


def test_a_time_sold_before_the_roller_hours_shrank_takes_no_other_away(kind):
    day = booking.workday(ahead=5)
    booking.booked(kind, booking.at_local(day, 15, 30))
    garage.roller_hours(time(9), time(16))
    assert _on(kind, day)[-1] == "14:00"
