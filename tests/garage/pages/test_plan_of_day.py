"""The day sheet says what people work to, what has moved since, and what was accepted on a day that is over."""

from __future__ import annotations

from datetime import date, datetime, timedelta

import pytest

from garage.changes.day import plans
from garage.core import routes, states
from garage.models.people import Person
from garage.models.visits import Step, Visit
from garage.pages.day_sheet import DayPage, day_page
from garage.reads.day_plan import day_plan
from garage.reads.shop import the_shop
from tests.factories import booking, garage

pytestmark = pytest.mark.django_db


@pytest.fixture
def jo() -> Person:
    garage.shop()
    return garage.person(first_name="Jo", last_name="Harker")


@pytest.fixture
def day(jo) -> date:
    return booking.workday(ahead=5)


def _booked(day: date, hour: int = 10, **given: object) -> Visit:
    values = {"state": states.HERE, "arrived_at": booking.at_local(day, 7), "starts_at": booking.at_local(day, hour)}
    visit = garage.visit(**values | given)
    Step.objects.create(visit=visit, index=0, at="bench", minutes=20, what="gate", is_check=True)
    Step.objects.create(visit=visit, index=1, at="roller", minutes=60, what="set-up")
    return visit


def _accept(day: date, now: datetime) -> None:
    plans.accept(day, seen=day_plan(day, the_shop(), now).seen, by=Person.objects.first(), now=now)


def _page(day: date, hour: int, minute: int = 0) -> DayPage:
    return day_page(day, the_shop(), now=booking.at_local(day, hour, minute))


def test_before_anybody_accepts_the_sheet_is_a_proposal(day):
    _booked(day)
    plan = _page(day, 8).plan
    assert (plan.is_proposal, plan.accepted, plan.changes, bool(plan.seen)) == (True, None, (), True)


def test_a_day_with_nothing_to_do_proposes_nothing(day):
    plan = _page(day, 8).plan
    assert (plan.is_proposal, plan.seen) == (False, "")


def test_what_people_work_to_has_no_button_while_nothing_moves(day):
    _booked(day)
    _accept(day, booking.at_local(day, 7, 45))
    plan = _page(day, 8).plan
    assert (plan.is_proposal, plan.at_words, plan.seen) == (False, "07:45", "")


def test_a_plan_accepted_the_day_before_says_the_day(day):
    _booked(day)
    _accept(day, booking.at_local(day - timedelta(days=1), 17))
    assert _page(day, 8).plan.at_words.endswith("17:00")
    assert len(_page(day, 8).plan.at_words) > len("17:00")


def test_what_has_moved_is_said_in_words_and_marked_where_it_stood(day):
    visit = _booked(day, starts_at=None, at="", minutes=0)
    _accept(day, booking.at_local(day, 8))
    page = _page(day, 9)
    assert page.plan.changes == (
        f"{visit.number}: gate at 09:00 instead of 08:00; set-up at 09:20 instead of 08:20: it has not begun.",
    )
    assert [row.remarks for row in page.nexts] == [("was 08:00",), ("was 08:20",)]
    assert [curve.kind for curve in page.drawing.curves].count("was") == 2
    assert any("gate, Jo, was 08:00, planned" in line.text for line in page.drawing.lines)


@pytest.mark.parametrize("stop", [{"must_not_run": ["It pinks."]}, {"route": routes.DO_NOT_RUN}])
def test_a_machine_that_must_not_run_since_is_nowhere_drawn_on_the_rollers(day, stop):
    visit = _booked(day)
    _accept(day, booking.at_local(day, 8))
    Visit.objects.filter(pk=visit.pk).update(**stop)
    page = _page(day, 8)
    assert [line.text for line in page.drawing.lines if "rollers" in line.text] == []
    assert [row for row in page.nexts if row.step.at == "roller"] == []
    assert "must not run" in page.plan.changes[0]
    assert "roller" not in page.plan.seen


def test_work_that_runs_late_says_so_and_work_in_its_time_does_not(day, jo):
    visit = _booked(day)
    _accept(day, booking.at_local(day, 8))
    gate = visit.steps.get(index=0)
    gate.began_at, gate.by, gate.station = booking.at_local(day, 8, 5), jo, 1
    gate.save()
    assert next(row.remarks for row in _page(day, 8, 15).nexts) == ()
    assert next(row.remarks for row in _page(day, 8, 25).nexts) == ("runs late",)


def test_a_machine_in_doubt_has_its_chance_in_words_on_the_drawing_and_in_the_list(day):
    visit = _booked(day, ready_chance=0.61)
    page = _page(day, 8)
    assert any(label.text.endswith(": about 6 in 10 pass") for label in page.drawing.labels)
    assert any("It may well fail its gate: about 6 in 10 pass." in line.text for line in page.drawing.lines)
    assert [row.remarks for row in page.nexts] == [("may well fail: about 6 in 10 pass",), ()]
    Visit.objects.filter(pk=visit.pk).update(gate_passed_at=booking.at_local(day, 8))
    assert not any("10 pass" in line.text for line in _page(day, 8).drawing.lines)


def test_two_people_of_one_first_name_are_told_apart_on_the_drawing(day):
    _booked(day)
    assert any("gate, Jo, planned" in line.text for line in _page(day, 8).drawing.lines)
    garage.person(first_name="Jo", last_name="Tyson")
    assert any("gate, Jo Harker, planned" in line.text for line in _page(day, 8).drawing.lines)


def test_a_day_that_is_over_shows_what_was_accepted_and_what_came_of_it(day, jo):
    visit = _booked(day)
    _accept(day, booking.at_local(day, 8))
    visit.steps.filter(index=0).update(
        began_at=booking.at_local(day, 9, 50), ended_at=booking.at_local(day, 10, 5), by=jo, station=2
    )
    page = day_page(day, the_shop(), now=booking.at_local(day + timedelta(days=1), 9))
    (part,) = page.plan.was
    assert (part.by, page.plan.seen, page.plan.changes) == ("Jo Harker", "", ())
    assert part.lines[0].startswith(f"08:00 {visit.number}: gate, bench 1, Jo")
    assert any("gate, Jo, planned for 08:00, done" in line.text for line in page.drawing.lines)
    assert [curve.kind for curve in page.drawing.curves].count("was") == 1


def test_the_roller_that_a_failed_machine_leaves_goes_to_the_next_one(day):
    """A machine without a time waits in the building: it takes over what the failed one had."""
    failed, waits = _booked(day, hour=9), _booked(day, starts_at=None, at="", minutes=0)
    Visit.objects.filter(pk=waits.pk).update(gate_passed_at=booking.at_local(day, 8))
    waits.steps.filter(index=0).update(
        began_at=booking.at_local(day, 7), ended_at=booking.at_local(day, 7, 20), by=Person.objects.get(), station=1
    )
    waits.steps.filter(index=1).update(minutes=120)
    _accept(day, booking.at_local(day, 8, 10))
    before = _page(day, 8, 10).nexts
    assert [row.begin for row in before if row.number == waits.number] == ["10:00"]
    Visit.objects.filter(pk=failed.pk).update(route=routes.FIX_FIRST, starts_at=None, at="", minutes=0)
    page = _page(day, 8, 30)
    assert page.plan.changes == (
        f"{waits.number}: set-up at 08:30 instead of 10:00: {failed.number} does not need roller 1 then.",
        f"{failed.number}: no gate at 08:10 and set-up at 09:00: it is to be put right first.",
    )
