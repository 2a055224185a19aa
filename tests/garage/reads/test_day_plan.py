"""One seam for all pages: the day's problem, what people work to, what is proposed."""

from __future__ import annotations

from datetime import date

import pytest

from garage.core import routes, states
from garage.core.planning.standing.standing_plan import to_json
from garage.models.people import Person
from garage.models.plans import AcceptedPlan
from garage.models.visits import Step, Visit
from garage.reads.day_plan import DayPlan, day_plan
from garage.reads.shop import the_shop
from tests.factories import booking, garage

pytestmark = pytest.mark.django_db


@pytest.fixture
def day() -> date:
    garage.shop()
    garage.person(first_name="Jo")
    return booking.workday(ahead=5)


def _at_eight(day: date) -> DayPlan:
    return day_plan(day, the_shop(), booking.at_local(day, 8))


def _accept(plan: DayPlan, number: int = 1) -> AcceptedPlan:
    return AcceptedPlan.objects.create(
        day=plan.day,
        number=number,
        accepted_at=booking.at_local(plan.day, 8),
        by=Person.objects.get(),
        steps=to_json(plan.proposed_to_keep),
    )


def _booked(day: date, **given: object) -> Visit:
    visit = garage.visit(starts_at=booking.at_local(day, 10), **given)
    Step.objects.create(visit=visit, index=0, at="bench", minutes=20, what="gate", is_check=True)
    Step.objects.create(visit=visit, index=1, at="roller", minutes=90, strap_minutes=5, what="set-up")
    return visit


def test_before_anything_is_accepted_the_proposal_is_what_there_is(day):
    _booked(day)
    plan = _at_eight(day)
    assert (plan.accepted, plan.problem.standing) == (None, ())
    assert [(p.at, p.by) for p in plan.to_work_to] == [("bench", "Jo"), ("roller", "Jo")]


def test_what_was_accepted_stands_until_it_is_accepted_anew(day):
    _booked(day)
    before = _at_eight(day)
    accepted = _accept(before)
    later = day_plan(day, the_shop(), booking.at_local(day, 9, 50))
    assert later.accepted == accepted
    assert later.problem.standing == later.to_work_to == before.proposed.placed
    assert later.proposed.placed != before.proposed.placed
    newest = _accept(later, number=2)
    assert day_plan(day, the_shop(), booking.at_local(day, 9, 50)).accepted == newest


def test_a_step_put_in_before_it_does_not_move_what_was_accepted(day):
    visit = _booked(day)
    _accept(_at_eight(day))
    for step in visit.steps.order_by("-index"):
        Step.objects.filter(pk=step.pk).update(index=step.index + 1)
    Step.objects.create(visit=visit, index=0, at="bench", minutes=30, what="fix first")
    assert [(p.step, p.at) for p in _at_eight(day).to_work_to] == [(1, "bench"), (2, "roller")]


@pytest.mark.parametrize("stop", [{"must_not_run": ["It pinks."]}, {"route": routes.DO_NOT_RUN}])
def test_a_machine_that_must_not_run_since_has_no_roller_time_in_what_people_work_to(day, stop):
    visit = _booked(day)
    _accept(_at_eight(day))
    Visit.objects.filter(pk=visit.pk).update(**stop)
    plan = _at_eight(day)
    assert [p for p in (*plan.to_work_to, *plan.proposed.placed) if p.at == "roller"] == []


@pytest.mark.parametrize("gone", [{"state": states.CALLED_OFF}, {"state": states.DID_NOT_COME}])
def test_a_visit_that_has_gone_is_not_in_what_people_work_to(day, gone):
    visit = _booked(day)
    _accept(_at_eight(day))
    Visit.objects.filter(pk=visit.pk).update(**gone)
    assert _at_eight(day).to_work_to == ()


def test_running_work_is_where_it_was_begun(day):
    """Whatever the plan had said: bench 2 is where the machine stands."""
    visit = _booked(day, state=states.ON_THE_BENCH, arrived_at=booking.at_local(day, 8))
    gate = visit.steps.get(index=0)
    gate.began_at, gate.by, gate.station = booking.at_local(day, 9), Person.objects.get(), 2
    gate.save()
    plan = day_plan(day, the_shop(), booking.at_local(day, 9, 5))
    assert [(p.at, p.station) for p in plan.proposed.placed] == [("bench", 2), ("roller", 1)]


def test_somebody_at_work_without_hours_or_skills_is_kept_by_log_in(day):
    visit = _booked(day, state=states.ON_THE_BENCH, arrived_at=booking.at_local(day, 8))
    gate, boss = visit.steps.get(index=0), garage.boss(first_name="Ada", does_bench=False, does_rollers=False)
    gate.began_at, gate.by, gate.station = booking.at_local(day, 9), boss, 1
    gate.save()
    (kept, _) = day_plan(day, the_shop(), booking.at_local(day, 9, 5)).proposed_to_keep.steps
    assert (kept.step, kept.person) == (gate.pk, boss.pk)


def test_it_asks_the_database_once_more_than_the_problem_alone(day, django_assert_max_num_queries):
    _booked(day)
    _accept(_at_eight(day))
    shop = the_shop()
    with django_assert_max_num_queries(10):
        day_plan(day, shop, booking.at_local(day, 8))


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"state": states.CALLED_OFF}, "no gate at 09:30 and set-up at 10:00: it is called off."),
        ({"state": states.DID_NOT_COME}, "no gate at 09:30 and set-up at 10:00: it did not come."),
        ({"starts_at": None, "at": "", "minutes": 0}, "no gate at 09:30 and set-up at 10:00: it has no time any more."),
        ({"must_not_run": ["It pinks."]}, "no gate at 09:30 and set-up at 10:00: it must not run."),
        (
            {"state": states.WAITING_FOR_PARTS, "starts_at": None, "at": "", "minutes": 0},
            "it waits for parts or for its owner.",
        ),
        ({"route": routes.FIX_FIRST, "starts_at": None, "at": "", "minutes": 0}, "it is to be put right first."),
        ({"state": states.COLLECTED}, "it is not to be done any more."),
    ],
)
def test_what_is_not_of_the_day_any_more_says_why(day, given, said):
    visit = _booked(day)
    _accept(_at_eight(day))
    if "route" in given:
        given |= {"arrived_at": booking.at_local(day, 7), "state": states.HERE}
    Visit.objects.filter(pk=visit.pk).update(**given)
    (line,) = _at_eight(day).change_words
    assert line.startswith(f"{visit.number}: no gate at 09:30")
    assert line.endswith(said)


def test_a_visit_of_another_day_says_so(day):
    visit = _booked(day)
    _accept(_at_eight(day))
    Visit.objects.filter(pk=visit.pk).update(starts_at=booking.at_local(booking.workday(ahead=8), 10))
    (line,) = _at_eight(day).change_words
    assert line.endswith("it has another day now.")


def test_a_step_that_is_no_longer_needed_is_out_of_the_plan(day):
    visit = _booked(day)
    _accept(_at_eight(day))
    visit.steps.get(index=0).delete()
    assert _at_eight(day).change_words == (f"{visit.number}: no bench at 09:30: it is not to be done any more.",)


def test_work_that_was_done_is_not_missed_in_the_plan(day):
    visit = _booked(day)
    _accept(_at_eight(day))
    visit.steps.update(began_at=booking.at_local(day, 9), ended_at=booking.at_local(day, 9, 20), station=1)
    Visit.objects.filter(pk=visit.pk).update(state=states.COLLECTED)
    assert _at_eight(day).changes == ()


def test_before_a_plan_is_accepted_nothing_changes_one(day):
    _booked(day)
    assert (_at_eight(day).changes, _at_eight(day).number) == ((), 0)
