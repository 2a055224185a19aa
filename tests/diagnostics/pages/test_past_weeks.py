"""The garage's own past days under other practices: what is read of them, and when they are too few."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest
from django.utils import timezone

from diagnostics.changes import causes, learning
from diagnostics.pages.past_weeks import past_weeks
from diagnostics.reads.bank import the_bank
from diagnostics.reads.past_days import past_days
from garage.core import states
from garage.models.people import Person
from garage.models.shop import BENCH, ROLLER
from garage.models.visits import Step, Visit
from garage.reads.opening import open_days
from garage.reads.shop import the_shop
from tests.factories import garage
from tests.factories.diagnostics import HEALTHY, answered

pytestmark = pytest.mark.django_db


@pytest.fixture
def by() -> Person:
    garage.shop()
    return garage.boss()


def at_ten(days_ago: int) -> datetime:
    """Ten o'clock on the day that was so many working days ago."""
    shop = the_shop()
    today = shop.local_time.day(timezone.now())
    first = today - timedelta(days=60)
    worked = [day for day in open_days(shop, first, today).days(first, today) if day < today]
    return shop.local_time.at_minute(worked[-days_ago], 600)


def past(by: Person, days_ago: int, *faults: str, ran: tuple[int, int] | None = (0, 90), fixed_min: int = 0) -> Visit:
    """A visit booked for ten o'clock; ran: minutes after ten at which its session began and ended."""
    visit, at = garage.visit(), at_ten(days_ago)
    visit.steps.all().delete()
    Visit.objects.filter(pk=visit.pk).update(
        at=ROLLER, starts_at=at, minutes=90, state=states.COLLECTED, arrived_at=at - timedelta(minutes=20)
    )
    if fixed_min:
        began = at - timedelta(minutes=fixed_min)
        values = {"minutes": 45, "what": "fix first", "by": by, "began_at": began, "ended_at": at}
        Step.objects.create(visit=visit, index=0, at=BENCH, **values)
    if ran is not None:
        begin, end = (at + timedelta(minutes=minutes) for minutes in ran)
        Step.objects.create(
            visit=visit, index=1, at=ROLLER, minutes=90, what="set-up", by=by, began_at=begin, ended_at=end
        )
    visit.refresh_from_db()
    for fault in faults:
        causes.confirm(visit, fault=fault, by=by, now=at)
    learning.card_closed(visit, by=by, now=timezone.now())
    return visit


def read(most: int = 20):
    return past_days(the_bank(), the_shop(), most, now=timezone.now())


def spoiling() -> str:
    return next(fault.id for fault in the_bank().faults if "set-up" in fault.spoils)


def test_a_past_visit_has_its_time_its_real_minutes_and_what_was_found(by):
    past(by, 3, spoiling(), ran=(10, 25), fixed_min=0)
    ((visit,),) = [day.visits for day in read()]
    assert (visit.promised, visit.roller_min, visit.on_rollers) == (600, 90, ((610, 625),))
    assert visit.is_spoilt
    assert visit.was_lost


def test_a_machine_that_was_put_right_at_the_bench_first_lost_nothing(by):
    past(by, 3, spoiling(), fixed_min=40)
    ((visit,),) = [day.visits for day in read()]
    assert visit.is_spoilt
    assert not visit.was_lost
    assert visit.bench_min == 40


def test_the_chance_is_the_one_judged_last_before_the_machine_came_in(by):
    visit = answered(garage.visit(), HEALTHY)
    judged = visit.judgements.first()
    Visit.objects.filter(pk=visit.pk).update(at=ROLLER, starts_at=at_ten(2), minutes=90, state=states.COLLECTED)
    Visit.objects.filter(pk=visit.pk).update(arrived_at=judged.at + timedelta(seconds=1))
    learning.card_closed(visit, by=by, now=timezone.now())
    ((one,),) = [day.visits for day in read()]
    assert one.ready == pytest.approx(1 - judged.judgement.spoilt_chance)


def test_what_is_not_closed_yet_today_or_long_past_is_left_out_and_who_did_not_come_is_in(by):
    today, long_past = timezone.now(), timezone.now() - timedelta(days=120)
    Visit.objects.filter(pk=garage.visit().pk).update(starts_at=at_ten(2), state=states.HERE)
    gone = garage.visit()
    Visit.objects.filter(pk=gone.pk).update(at=ROLLER, starts_at=at_ten(2), minutes=90, state=states.DID_NOT_COME)
    for at in (today, long_past):
        Visit.objects.filter(pk=past(by, 3).pk).update(starts_at=at)
    ((visit,),) = [day.visits for day in read()]
    assert (visit.number, visit.came) == (str(gone.number), False)


def test_only_the_newest_days_are_read(by):
    for days_ago in (2, 3, 4):
        past(by, days_ago)
    assert len(read(most=2)) == 2


def test_a_few_days_say_that_they_are_too_few(by):
    past(by, 3)
    page = past_weeks(the_shop(), now=timezone.now())
    assert (page.days, page.is_enough, page.lines) == (1, False, ())


def test_the_days_as_they_were_stand_beside_the_other_practices(by):
    """Five days: on one the machine was spoilt and found on the rollers after a quarter of an hour."""
    for days_ago in (2, 3, 4, 5):
        past(by, days_ago)
    past(by, 6, spoiling(), ran=(0, 15))
    page = past_weeks(the_shop(), now=timezone.now())
    assert (page.days, page.visits, page.spoilt, page.promises) == (5, 5, 1, 4)
    was, booked, planned = page.lines
    assert (was.useful_min, was.lost_min, was.kept) == (360, 15, 4)
    assert (booked.useful_min, booked.lost_min, booked.kept) == (360, 15, 4)
    assert (planned.lost_min, planned.kept) == (0, 4)
    assert planned.useful_min == 450  # the spoilt one is put right and runs its planned minutes
