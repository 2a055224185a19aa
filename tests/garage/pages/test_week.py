"""The week's page: seven days from Monday, with what is sold, in doubt, kept free and still free on each."""

from __future__ import annotations

from datetime import date, time, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from garage.models.shop import ClosedDay, KeptTime
from garage.models.visits import Visit
from garage.pages.week import week_page
from garage.reads.shop import the_shop
from tests.factories import booking
from tests.factories import garage as make

pytestmark = pytest.mark.django_db


@pytest.fixture
def kind():
    make.shop()
    make.person(first_name="Jo")
    return make.visit_kind(minutes=90)


@pytest.fixture
def monday(kind):
    """Of the week after the next."""
    day = timezone.localdate() + timedelta(days=14)
    return day - timedelta(days=day.weekday())


def week_of(day: date):
    return week_page(day, the_shop(), now=timezone.now())


def place(page, nth: int, name: str):
    return next(one for one in page.days[nth].places if one.name == name)


def test_a_week_is_monday_to_sunday_whichever_of_its_days_is_asked_for(monday):
    for ahead in range(7):
        page = week_of(monday + timedelta(days=ahead))
        assert (page.first, page.last, len(page.days)) == (monday, monday + timedelta(days=6), 7)
    assert (page.before, page.after) == (monday - timedelta(days=7), monday + timedelta(days=7))


def test_a_day_says_what_is_sold_kept_and_free_and_who_works(kind, monday):
    booking.booked(kind, booking.at_local(monday, 10))
    KeptTime.objects.create(weekday=0, at="bench", minutes=60)
    page = week_of(monday)
    rollers, bench = place(page, 0, "Rollers").sums, place(page, 0, "Bench").sums
    assert (rollers.there_min, rollers.sold_min, rollers.kept_min) == (540, 95, 0)
    assert (bench.sold_min, bench.kept_min, bench.free_min) == (20, 60, 540 - 95 - 20 - 60)
    assert page.days[0].workers == ("Jo 08:00 to 17:30",)
    assert place(page, 1, "Rollers").sums.free_min == 540


def test_a_machine_in_doubt_is_named_with_its_chance(kind, monday):
    visit = booking.booked(kind, booking.at_local(monday, 10))
    sure = booking.booked(kind, booking.at_local(monday, 14))
    Visit.objects.filter(pk=visit.pk).update(ready_chance=0.62)
    Visit.objects.filter(pk=sure.pk).update(ready_chance=0.9)
    (found,) = place(week_of(monday), 0, "Rollers").in_doubt
    assert (found.number, found.minutes) == (visit.number, 95)
    assert found.words == "it may well fail its gate (62 in 100 pass)"


def test_a_machine_that_must_not_run_still_has_its_minutes_and_says_so(kind, monday):
    visit = booking.booked(kind, booking.at_local(monday, 10))
    Visit.objects.filter(pk=visit.pk).update(must_not_run=["It leaks petrol."])
    (found,) = place(week_of(monday), 0, "Rollers").in_doubt
    assert (found.number, found.words) == (visit.number, "must not run as it is")


def test_a_held_time_is_held(kind, monday):
    booking.hold(kind, booking.at_local(monday, 10), browser="somebody")
    sums = place(week_of(monday), 0, "Rollers").sums
    assert (sums.sold_min, sums.held_min) == (0, 95)


def test_a_closed_day_says_why_and_shows_what_is_booked_on_it_still(kind, monday):
    booking.booked(kind, booking.at_local(monday, 10))
    for day in (monday, monday + timedelta(days=1)):
        ClosedDay.objects.create(day=day, why="stocktaking")
    page = week_of(monday)
    assert (page.days[0].closed, page.days[1].closed) == ("stocktaking", "stocktaking")
    assert place(page, 0, "Rollers").sums.over_min == 95
    assert page.days[1].places == ()
    assert (page.days[1].closed_words, page.days[6].closed_words) == ("Closed: stocktaking.", "Closed on Sundays.")
    assert (page.days[6].closed, page.days[6].workers) == ("closed on Sundays", ())


def test_shorter_roller_hours_are_said_and_counted(kind, monday):
    make.roller_hours(time(9), time(16))
    page = week_of(monday)
    assert page.days[0].roller_hours == "run from 09:00 to 16:00"
    assert place(page, 0, "Rollers").sums.there_min == 390


def test_of_this_week_the_past_days_are_over_and_today_counts_from_now(kind):
    wednesday = booking.at_local(booking.workday(ahead=10), 10)
    while wednesday.weekday() != 2:
        wednesday += timedelta(days=1)
    page = week_page(wednesday.date(), the_shop(), now=wednesday)
    assert [day.is_past for day in page.days] == [True, True, False, False, False, False, False]
    assert page.days[0].places == ()
    assert page.days[2].since == "10:00"
    assert place(page, 2, "Rollers").sums.there_min == 420
    assert page.is_this_week


def test_a_full_week_asks_the_database_as_often_as_one_with_a_visit(kind, monday):
    def asked() -> int:
        with CaptureQueriesContext(connection) as queries:
            week_of(monday)
        return len(queries)

    booking.booked(kind, booking.at_local(monday, 10))
    once = asked()
    for ahead in range(5):
        booking.booked(kind, booking.at_local(monday + timedelta(days=ahead), 14))
    assert asked() == once <= 11


def test_the_page_is_for_the_workshop_and_links_days_visits_and_weeks(client, kind, monday):
    visit = booking.booked(kind, booking.at_local(monday, 10))
    Visit.objects.filter(pk=visit.pk).update(ready_chance=0.62)
    address = reverse("week-of", args=[f"{monday}"])
    assert client.get(address).status_code == 302
    client.force_login(make.person())
    page = client.get(address).text
    assert reverse("day-sheet-on", args=[f"{monday}"]) in page
    assert reverse("visit", args=[visit.number]) in page
    assert reverse("week") in page
    assert f'href="{address}"' in client.get(reverse("day-sheet-on", args=[f"{monday}"])).text


@pytest.mark.parametrize("day", ["tomorrow", "2027-02-30", "0001-01-01", "9999-12-31"])
def test_what_is_no_day_is_no_page(client, kind, day):
    client.force_login(make.person())
    assert client.get(reverse("week-of", args=[day])).status_code == 404
