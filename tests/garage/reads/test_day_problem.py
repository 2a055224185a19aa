"""The rows of a day become the planner's problem."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta

import pytest
from django.utils import timezone

from garage.changes.day import selling, steps
from garage.changes.visit import floor, gate_results
from garage.core import states
from garage.core.planning import planner
from garage.core.planning.day_problem import DayProblem
from garage.models.people import Away, Person
from garage.models.shop import Shop
from garage.models.visits import Step, Visit
from garage.reads.day_problem import problem_of, problem_with_holds, read_days, read_days_to_sell
from garage.reads.shop import the_shop
from tests.factories import booking, garage

pytestmark = pytest.mark.django_db


@pytest.fixture
def kind():
    garage.shop(guard_minutes=10)
    garage.person(first_name="Jo")
    return garage.visit_kind(minutes=90)


@pytest.fixture
def day(kind):
    return booking.workday(ahead=5)


def planner_day(day: date, now: datetime, shop: Shop) -> DayProblem:
    return problem_of(read_days(day, day, now, shop), day)


def _noon(day: date) -> datetime:
    return booking.at_local(day, 12)


def test_people_are_listed_with_hours_breaks_and_skills(day):
    garage.person(first_name="Bench only", does_rollers=False)
    garage.front_desk()
    problem = planner_day(day, timezone.now(), the_shop())
    assert [(p.id, p.begin, p.end, p.breaks, sorted(p.skills)) for p in problem.people] == [
        ("Jo", 480, 1050, ((750, 780),), ["bench", "roller"]),
        ("Bench only", 480, 1050, ((750, 780),), ["bench"]),
    ]
    assert (problem.rollers, problem.benches, problem.guard, problem.now) == (1, 2, 10, 0)


def test_two_people_of_one_name_are_told_apart(day):
    garage.person(first_name="Jo", username="jo-two")
    assert len({p.id for p in planner_day(day, timezone.now(), the_shop()).people}) == 2


def test_a_person_away_or_off_is_not_available(day):
    Away.objects.create(person=Person.objects.get(), first_day=day, last_day=day)
    assert planner_day(day, timezone.now(), the_shop()).people == ()
    saturday = day + timedelta(days=(5 - day.weekday()) % 7)
    assert planner_day(saturday, timezone.now(), the_shop()).people == ()


def test_a_booked_visit_is_a_promise_with_gate_and_rollers(kind, day):
    visit = booking.booked(kind, booking.at_local(day, 10))
    (job,) = planner_day(day, timezone.now(), the_shop()).jobs
    assert (job.id, job.here_from, job.promised, job.worth, job.ready) == (str(visit.number), 570, 600, 12000, 1.0)
    assert [(s.at, s.minutes, s.check) for s in job.steps] == [("bench", 20, True), ("roller", 95, False)]


def test_strapped_down_it_holds_its_roller_from_then_on_and_is_promised_no_later(kind, day):
    by, ten = garage.person(), booking.at_local(day, 10)
    visit = booking.arrived(booking.booked(kind, ten))
    visit.steps.filter(is_check=True).update(began_at=ten, ended_at=ten, by=by, station=1)
    gate_results.passed_at_the_bench(visit, by=by, now=ten)
    steps.put_on_the_rollers(visit, by=by, now=ten + timedelta(minutes=2), station=1)
    now = ten + timedelta(minutes=4)

    def on_the_rollers():
        (job,) = planner_day(day, now, the_shop()).jobs
        return job.steps[-1]

    step = on_the_rollers()
    assert (step.began, step.minutes, step.by is not None) == (602, 95, True)
    gate_results.passed(visit, by=by, now=now)
    assert on_the_rollers().minutes == 95
    steps.begin(visit.steps.get(at="roller"), by=by, now=ten + timedelta(minutes=9), station=1)
    assert (on_the_rollers().began, on_the_rollers().minutes) == (602, 97)  # 7 min strapping, 90 on the rollers
    floor.say_here(visit, by=by, now=now)
    assert on_the_rollers().began == 609  # off and on again: from the session


def test_a_bench_time_is_fixed_to_its_minute(kind, day):
    bench = garage.visit_kind(slug="bench", at="bench", minutes=60)
    booking.booked(bench, booking.at_local(day, 11))
    (job,) = planner_day(day, timezone.now(), the_shop()).jobs
    assert (job.promised, job.here_from, job.steps[0].pin.begin) == (None, 660, 660)


def test_holds_count_for_selling_and_not_for_the_workshops_sheet(kind, day):
    booking.hold(kind, booking.at_local(day, 10))
    now = timezone.now()
    assert planner_day(day, now, the_shop()).jobs == ()
    (job,) = problem_with_holds(read_days_to_sell(day, day, now, the_shop()), day).jobs
    assert job.promised == 600


def test_the_time_of_a_machine_that_must_not_run_is_planned_for_nobody_and_sold_to_nobody(kind, day):
    visit = booking.booked(kind, booking.at_local(day, 10))
    Visit.objects.filter(pk=visit.pk).update(must_not_run=["It pinks."])
    now = timezone.now()
    assert planner_day(day, now, the_shop()).jobs == ()
    (job,) = problem_with_holds(read_days_to_sell(day, day, now, the_shop()), day).jobs
    assert (job.promised, len(job.steps)) == (600, 2)


def test_the_visit_left_out_is_not_there(kind, day):
    visit = booking.booked(kind, booking.at_local(day, 10))
    assert problem_of(read_days(day, day, timezone.now(), the_shop(), leaving_out=visit), day).jobs == ()


def test_a_visit_called_off_or_to_be_put_right_is_not_in_the_day(kind, day):
    visit = booking.booked(kind, booking.at_local(day, 10))
    selling.give_back(visit, the_shop())
    Visit.objects.filter(pk=visit.pk).update(state=states.TO_PUT_RIGHT)
    assert planner_day(day, timezone.now(), the_shop()).jobs == ()


def test_what_has_begun_stays_where_it_is(kind, day):
    visit = booking.booked(kind, booking.at_local(day, 10))
    jo = Person.objects.get(first_name="Jo")
    visit.steps.filter(is_check=True).update(
        began_at=booking.at_local(day, 9, 40), ended_at=booking.at_local(day, 9, 52), by=jo, station=1
    )
    Visit.objects.filter(pk=visit.pk).update(state=states.HERE, arrived_at=booking.at_local(day, 9, 31))
    (job,) = planner_day(day, booking.at_local(day, 9, 55), the_shop()).jobs
    assert (job.here_from, job.steps[0].began, job.steps[0].ended, job.steps[0].by) == (571, 580, 592, "Jo")


def test_a_stale_pin_is_ignored_and_a_future_one_is_kept(kind, day):
    visit = booking.booked(kind, booking.at_local(day, 14))
    gate = visit.steps.get(is_check=True)
    for minute, found in ((30, None), (45, 825)):
        Step.objects.filter(pk=gate.pk).update(pin_begins_at=booking.at_local(day, 13, minute))
        (job,) = planner_day(day, booking.at_local(day, 13, 40), the_shop()).jobs
        assert job.steps[0].pin.begin == found


def test_a_machine_here_without_a_time_is_shown_today_with_its_bench_work_only(kind, day):
    by = garage.person()
    visit = booking.booked(kind, booking.at_local(day, 10))
    Visit.objects.filter(pk=visit.pk).update(state=states.HERE, arrived_at=booking.at_local(day, 9, 31))
    gate_results.failed(visit, reasons=["stutters"], bench_minutes=50, by=by, now=timezone.now())
    (job,) = planner_day(day, _noon(day), the_shop()).jobs
    assert [(s.at, s.minutes, s.check) for s in job.steps] == [("bench", 50, False)]
    assert job.promised is None


def test_steps_of_the_problem_are_the_first_steps_of_the_visit_in_order(kind, day):
    """The day sheet finds a placed step by its index."""
    by = garage.person()
    visit = booking.booked(kind, booking.at_local(day, 10))
    visit.steps.filter(is_check=True).update(
        began_at=booking.at_local(day, 9, 40), ended_at=booking.at_local(day, 9, 50), by=by, station=1
    )
    Visit.objects.filter(pk=visit.pk).update(state=states.HERE, arrived_at=booking.at_local(day, 9, 31))
    gate_results.failed(visit, reasons=["stutters"], bench_minutes=50, by=by, now=timezone.now())
    (job,) = planner_day(day, _noon(day), the_shop()).jobs
    rows = list(visit.steps.all())[: len(job.steps)]
    assert [(row.at, row.minutes) for row in rows] == [(step.at, step.minutes) for step in job.steps]


def test_a_machine_that_waits_for_parts_is_not_planned(kind, day):
    visit = booking.booked(kind, booking.at_local(day, 10))
    selling.give_back(visit, the_shop())
    Visit.objects.filter(pk=visit.pk).update(state=states.WAITING_FOR_PARTS, arrived_at=booking.at_local(day, 9))
    assert planner_day(day, _noon(day), the_shop()).jobs == ()


def test_yesterdays_time_is_shown_today_if_the_machine_is_still_here(kind, day):
    visit = booking.booked(kind, booking.at_local(day, 10))
    Visit.objects.filter(pk=visit.pk).update(state=states.HERE, arrived_at=booking.at_local(day, 9))
    tomorrow = day + timedelta(days=1)
    (job,) = planner_day(tomorrow, booking.at_local(tomorrow, 9), the_shop()).jobs
    assert (job.id, job.promised, job.here_from) == (str(visit.number), None, 0)


def test_the_plan_of_a_sold_day_keeps_all_its_promises(kind, day):
    for hour in (9, 14):
        booking.booked(kind, booking.at_local(day, hour))
    made = planner.plan(planner_day(day, timezone.now(), the_shop()))
    assert planner.whole(made)
    assert made.kept == 2


def test_a_day_is_read_in_few_queries_whatever_is_in_it(kind, day, django_assert_max_num_queries):
    for hour in (9, 14):
        booking.booked(kind, booking.at_local(day, hour))
    with django_assert_max_num_queries(10):
        planner_day(day, timezone.now(), the_shop())


def test_the_plan_is_told_when_no_roller_may_run(day):
    assert planner_day(day, timezone.now(), the_shop()).quiet_rollers == ()
    garage.roller_hours(time(9), time(16))
    assert planner_day(day, timezone.now(), the_shop()).quiet_rollers == ((0, 540), (960, 1440))
    sunday = day + timedelta(days=6 - day.weekday())
    assert planner_day(sunday, timezone.now(), the_shop()).quiet_rollers == ()


def test_a_session_sold_outside_the_roller_hours_is_named_and_not_planned(kind, day):
    booking.booked(kind, booking.at_local(day, 15))
    garage.roller_hours(has_rollers=False)
    made = planner.plan(planner_day(day, timezone.now(), the_shop()))
    assert [placed for placed in made.placed if placed.at == "roller"] == []
    assert len(made.left_out) == 1
    garage.roller_hours(ends=time(16, 35))
    assert planner.plan(planner_day(day, timezone.now(), the_shop())).left_out == ()
