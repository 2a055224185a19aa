"""What the rows say of times that were given back."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.utils import timezone

from garage.changes.visit import visits
from garage.core import states
from garage.core.selling.freed_minutes import MinutesShare
from garage.models.visits import Step, Visit
from garage.reads.freed import freed_minutes
from tests.factories import booking, garage

pytestmark = pytest.mark.django_db
NOTHING = MinutesShare(0, 0)


@pytest.fixture
def start(kind):
    return booking.at_local(booking.workday(ahead=5), 10)


@pytest.fixture
def kind():
    garage.shop()
    garage.person()
    return garage.visit_kind(minutes=90, price=120)


@pytest.fixture
def called_off(kind, start):
    visit = booking.booked(kind, start)
    visits.call_off(visit, why="", by=garage.boss(), now=timezone.now())
    return visit


def test_a_time_that_nobody_took_is_lost_with_its_price_once_it_is_past(called_off, start):
    assert freed_minutes(now=timezone.now()).still_open == MinutesShare(90, 12000)
    found = freed_minutes(now=start + timedelta(hours=3))
    assert (found.lost, found.sold_again, found.still_open) == (MinutesShare(90, 12000), NOTHING, NOTHING)


def test_what_was_booked_anew_is_sold_again_minute_by_minute(called_off, start):
    short = garage.visit_kind(slug="power-run", booked_as="power-run", name="Power run", minutes=45, price=60)
    booking.booked(short, start)
    found = freed_minutes(now=start + timedelta(hours=3))
    assert (found.sold_again, found.lost) == (MinutesShare(45, 6000), MinutesShare(45, 6000))


def test_a_machine_that_stood_there_without_a_time_had_it(called_off, start):
    here = garage.visit(at="", starts_at=None, minutes=0, state=states.HERE, arrived_at=start - timedelta(days=9))
    ran = {"began_at": start, "ended_at": start + timedelta(minutes=60)}
    Step.objects.create(visit=here, index=0, at="roller", minutes=60, what="set-up", **ran)
    found = freed_minutes(now=start + timedelta(hours=3))
    assert (found.in_the_building.minutes, found.lost.minutes) == (60, 30)


def test_a_time_given_back_more_than_a_year_ago_is_not_counted(called_off, start):
    assert freed_minutes(now=start + timedelta(days=400)).minutes == 0


def test_the_time_of_a_machine_that_came_was_used_and_not_given_back(kind, start):
    visit = booking.booked(kind, start)
    Visit.objects.filter(pk=visit.pk).update(state=states.HERE, arrived_at=start - timedelta(minutes=20))
    visits.give_time(
        visit,
        at="roller",
        starts_at=booking.at_local(booking.workday(ahead=9), 10),
        minutes=90,
        by=garage.boss(),
        now=start + timedelta(hours=2),
    )
    assert freed_minutes(now=start + timedelta(days=9)).minutes == 0


def test_a_handful_of_queries_suffices(called_off, django_assert_max_num_queries):
    with django_assert_max_num_queries(3):
        freed_minutes(now=timezone.now())
