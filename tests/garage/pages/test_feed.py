"""What stands in the calendar of a person and of a station."""

from __future__ import annotations

from datetime import date, datetime, timedelta

import pytest

from garage.core import states
from garage.core.planning.standing.standing_plan import to_json
from garage.models.people import Person
from garage.models.plans import AcceptedPlan
from garage.models.shop import Shop, Station
from garage.models.visits import Step, Visit
from garage.pages.feed import DAYS, Feed, feed_of
from garage.reads.day_plan import day_plan
from garage.reads.shop import the_shop
from tests.factories import booking
from tests.factories import garage as make
from tests.garage.output.rfc5545 import Component, calendar_read

pytestmark = pytest.mark.django_db


@pytest.fixture
def ada() -> Person:
    make.shop()
    return make.person(first_name="Ada")


@pytest.fixture
def day(ada: Person) -> date:
    return booking.workday(ahead=5)


def booked(day: date, hour: int = 10, **given: object) -> Visit:
    machine = make.machine(owner=make.owner(name="Quentin Prettyman", telephone="07700 900999"))
    visit = make.visit(starts_at=booking.at_local(day, hour), machine=machine, **given)
    Step.objects.create(visit=visit, index=0, at="bench", minutes=10, what="gate", is_check=True)
    Step.objects.create(visit=visit, index=1, at="roller", minutes=90, what="set-up")
    return visit


def read(whose: Person | Station, now: datetime) -> Feed:
    return feed_of(whose, Shop.objects.get(), now=now)


def told(whose: Person | Station, now: datetime) -> list[Component]:
    return calendar_read(read(whose, now).file()).parts


def said(whose: Person | Station, now: datetime) -> list[tuple[str, str, str]]:
    return [(one.text("SUMMARY"), one.text("LOCATION"), one.text("STATUS")) for one in told(whose, now)]


def station(kind: str) -> Station:
    return Station.objects.filter(kind=kind).order_by("number").first()


def accept(day: date, now: datetime, by: Person) -> None:
    proposed = day_plan(day, the_shop(), now).proposed_to_keep
    AcceptedPlan.objects.create(day=day, number=1, accepted_at=now, by=by, steps=to_json(proposed))


def test_work_of_a_later_day_is_told_as_it_is_proposed(ada, day):
    visit = booked(day)
    now = booking.at_local(day - timedelta(days=2), 9)
    assert said(ada, now) == [
        (f"{visit.number} Corrick 185: gate", "Bench 1", "TENTATIVE"),
        (f"{visit.number} Corrick 185: set-up", "Rollers", "TENTATIVE"),
    ]
    assert [one[0] for one in said(station("roller"), now)] == [f"{visit.number} Corrick 185: set-up"]
    (session,) = told(station("roller"), now)
    assert session.instant("DTSTART") == booking.at_local(day, 10)
    assert session.instant("DTEND") == booking.at_local(day, 11, 30)


def test_somebody_elses_work_and_another_station_are_not_in_it(ada, day):
    booked(day)
    bo = make.person(first_name="Bo", does_rollers=False, does_bench=False)
    now = booking.at_local(day, 8)
    assert [one.name for one in told(bo, now)] == ["VFREEBUSY"]
    second = Station.objects.get(kind="bench", number=2)
    assert [one.name for one in told(second, now)] == ["VFREEBUSY"]


def test_days_beyond_the_two_weeks_are_not_in_it(ada, day):
    booked(day)
    before = booking.at_local(day - timedelta(days=DAYS), 9)
    assert [one.name for one in told(ada, before)] == ["VFREEBUSY"]
    assert len(told(ada, before + timedelta(days=1))) == 2


def test_today_it_is_the_plan_that_people_work_to_and_no_newer_proposal(ada, day):
    visit = booked(day, state=states.HERE, arrived_at=booking.at_local(day, 9))
    accept(day, booking.at_local(day, 9), by=ada)
    gate, session = told(ada, booking.at_local(day, 9, 20))
    assert gate.text("STATUS") == session.text("STATUS") == "CONFIRMED"
    assert gate.instant("DTSTART") < booking.at_local(day, 9, 20)  # not moved on by the clock
    assert gate.instant("LAST-MODIFIED") == booking.at_local(day, 9)
    assert gate.text("SUMMARY") == f"{visit.number} Corrick 185: gate"


def test_what_runs_and_what_is_done_is_told_with_its_own_times(ada, day):
    visit = booked(day, state=states.ON_THE_BENCH, arrived_at=booking.at_local(day, 9))
    Step.objects.filter(visit=visit, index=0).update(by=ada, station=2, began_at=booking.at_local(day, 9, 5))
    now = booking.at_local(day, 9, 10)
    assert said(ada, now)[0] == (f"{visit.number} Corrick 185: gate, under way", "Bench 2", "CONFIRMED")
    assert told(ada, now)[0].instant("DTEND") == booking.at_local(day, 9, 15)
    Step.objects.filter(visit=visit, index=0).update(ended_at=booking.at_local(day, 9, 12))
    now = booking.at_local(day, 9, 30)
    assert said(ada, now)[0] == (f"{visit.number} Corrick 185: gate, done", "Bench 2", "CONFIRMED")
    assert told(ada, now)[0].instant("DTEND") == booking.at_local(day, 9, 12)
    assert [one[0] for one in said(Station.objects.get(kind="bench", number=2), now)] == [
        f"{visit.number} Corrick 185: gate, done"
    ]


def test_work_that_was_begun_and_ended_in_one_minute_is_an_entry_too(ada, day):
    visit = booked(day, state=states.HERE, arrived_at=booking.at_local(day, 9))
    at = booking.at_local(day, 9, 5)
    Step.objects.filter(visit=visit, index=0).update(by=ada, station=1, began_at=at, ended_at=at)
    assert told(ada, booking.at_local(day, 9, 30))[0].instant("DTEND") == at + timedelta(minutes=1)


def test_a_step_keeps_its_uid_while_it_is_planned_moved_and_done(ada, day):
    visit = booked(day)
    planned = told(ada, booking.at_local(day - timedelta(days=3), 9))
    Visit.objects.filter(pk=visit.pk).update(
        starts_at=booking.at_local(day, 14), state=states.ON_THE_BENCH, arrived_at=booking.at_local(day, 9)
    )
    Step.objects.filter(visit=visit, index=0).update(
        by=ada, station=1, began_at=booking.at_local(day, 9, 5), ended_at=booking.at_local(day, 9, 20)
    )
    later = told(ada, booking.at_local(day, 9, 30))
    assert [one.text("UID") for one in planned] == [one.text("UID") for one in later]
    assert len({one.text("UID") for one in later}) == 2


def test_neither_owner_nor_telephone_nor_a_colleague_is_in_it(ada, day):
    visit = booked(
        day, wants="Ring me.", route_reasons=["It breaks down at 5 200."], owner_remarks=["It leaks petrol."]
    )
    raw = read(station("roller"), booking.at_local(day, 8)).file().decode()
    for secret in ("Quentin", "Prettyman", "07700", "Ada", "Ring me", "breaks down", "petrol", visit.owner.email):
        assert secret not in raw


def test_its_name_says_whose_it_is_without_a_name_of_anybody(ada, day):
    assert read(ada, booking.at_local(day, 8)).name == "Work at Quarry Lane Rolling Road"
    assert read(station("roller"), booking.at_local(day, 8)).name == "Roller 1, Quarry Lane Rolling Road"


def test_its_tag_changes_with_what_it_tells_and_with_nothing_else(ada, day):
    visit = booked(day)
    now = booking.at_local(day - timedelta(days=2), 9)
    tag = read(ada, now).tag
    assert read(ada, now + timedelta(minutes=30)).tag == tag
    assert read(station("roller"), now).tag != tag
    Step.objects.filter(visit=visit, index=1).update(minutes=60)
    changed = read(ada, now).tag
    assert changed != tag
    Visit.objects.filter(pk=visit.pk).update(starts_at=booking.at_local(day, 14))
    assert read(ada, now).tag not in (tag, changed)
