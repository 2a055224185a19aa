"""What a day sheet reads is enough to plan its day by."""

from datetime import timedelta

import pytest

from garage.core import states
from garage.core.planning.day_rules import DayAt
from garage.models.visits import Step
from garage.reads.day_problem import days_of, read_days
from garage.reads.day_visits import belonging, visits_between
from garage.reads.opening import open_days
from garage.reads.shop import the_shop
from tests.factories import garage as factory

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


@pytest.mark.parametrize("seen_after", [-DAY, timedelta(), DAY])
def test_the_plan_of_what_a_sheet_reads_is_the_plan_of_the_day(seen_after):
    factory.shop()
    factory.person()
    start = factory.next_workday_at(10)
    for state in states.WORDS:
        for arrived_at in (None, start - DAY, start):
            for starts_at in (None, start - DAY, start, start + DAY):
                timed = {"at": "roller", "minutes": 60} if starts_at else {"at": "", "minutes": 0}
                visit = factory.visit(state=state, arrived_at=arrived_at, starts_at=starts_at, **timed)
                Step.objects.create(visit=visit, index=0, at="bench", minutes=10, what="gate", is_check=True)
    shop, now, day = the_shop(), start + seen_after, start.date()
    rows = list(visits_between(day, day, shop.local_time, now=now))
    of_page = days_of(rows, day, day, now, opening=open_days(shop, day, day), shop=shop)
    planned = of_page.visits.get(day, [])
    assert sorted(one.number for one in planned) == [one.number for one in read_days(day, day, now, shop).visits[day]]
    shown = {visit.number for visit in belonging(rows, DayAt(day, now, shop.local_time))}
    assert {one.number for one in planned} <= shown == {visit.number for visit in rows}
