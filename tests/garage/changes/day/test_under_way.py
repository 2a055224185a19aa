"""A step that runs pauses, or runs late."""

from datetime import timedelta

import pytest
from django.utils import timezone

from garage.changes.day import steps, under_way
from garage.changes.visit import gate_results
from garage.core import states
from garage.core.errors import BadInput, Refused
from garage.models.visits import Step, Visit
from garage.reads.day_plan import day_plan
from garage.reads.shop import the_shop
from tests.factories import garage as factory
from tests.sentences import check_noted, refuses

pytestmark = pytest.mark.django_db


@pytest.fixture
def visit() -> Visit:
    """A machine that is here and through the gate, with bench work before its session."""
    factory.shop(strap_minutes=5)
    row = factory.visit(state=states.HERE, arrived_at=timezone.now(), gate_at_bench_passed_at=timezone.now())
    Visit.objects.filter(pk=row.pk).update(gate_passed_at=timezone.now())
    row.refresh_from_db()
    Step.objects.create(visit=row, index=0, at="bench", minutes=40, what="fix first")
    Step.objects.create(visit=row, index=2, at="roller", minutes=90, what="set-up")
    return row


def _steps(visit: Visit) -> list[Step]:
    return list(visit.steps.order_by("index"))


def _bench_done(visit: Visit, by, now) -> None:
    steps.end(steps.begin(_steps(visit)[0], by=by, now=now, station=1), by=by, now=now)


def test_a_paused_step_ends_and_the_rest_of_it_waits_next(visit):
    by, now = factory.person(), timezone.now()
    step = steps.begin(_steps(visit)[0], by=by, now=now, station=2)
    at = now + timedelta(minutes=23)
    rest = under_way.pause(step, by=by, now=at)
    visit.refresh_from_db()
    assert visit.state == states.HERE
    done, waiting, session = _steps(visit)
    assert (done.ended_at, done.minutes, done.station) == (at, 23, 2)
    assert waiting == rest
    assert (waiting.at, waiting.what, waiting.is_check, waiting.minutes) == ("bench", "fix first", False, 20)
    assert (waiting.began_at, waiting.by, waiting.station) == (None, None, None)
    assert session.what == "set-up"
    check_noted("fix first paused: 20 min left", by=by, at=at, visit=visit)


@pytest.mark.parametrize(("worked", "left"), [(0, 40), (1, 40), (5, 35), (38, 5), (40, 5), (75, 5)])
def test_what_is_left_is_in_whole_five_minutes_and_at_least_five(visit, worked, left):
    by, now = factory.person(), timezone.now()
    step = steps.begin(_steps(visit)[0], by=by, now=now, station=2)
    assert under_way.pause(step, by=by, now=now + timedelta(minutes=worked)).minutes == left


def test_the_rest_begins_like_any_other_step_and_can_pause_again(visit):
    by, now = factory.person(), timezone.now()
    rest = under_way.pause(steps.begin(_steps(visit)[0], by=by, now=now, station=2), by=by, now=now)
    again = steps.begin(rest, by=by, now=now, station=1)
    under_way.pause(again, by=by, now=now + timedelta(minutes=10))
    assert [step.minutes for step in _steps(visit)] == [0, 10, 30, 90]


def test_a_session_that_pauses_comes_off_and_is_strapped_down_again_before_it_goes_on(visit):
    by, now = factory.person(), timezone.now()
    _bench_done(visit, by, now)
    session = steps.begin(_steps(visit)[1], by=by, now=now, station=1)
    at = now + timedelta(minutes=30)
    rest = under_way.pause(session, by=by, now=at)
    visit.refresh_from_db()
    assert (visit.state, visit.gate_passed_at) == (states.HERE, None)
    assert visit.gate_at_bench_passed_at is not None
    assert (rest.at, rest.minutes, rest.strap_minutes) == ("roller", 60, 5)
    assert not visit.steps.filter(is_check=True).exists()
    with pytest.raises(Refused, match="has not passed the gate"):
        steps.begin(rest, by=by, now=at, station=1)
    steps.put_on_the_rollers(visit, by=by, now=at, station=1)
    gate_results.passed(visit, by=by, now=at)
    assert steps.begin(rest, by=by, now=at, station=1).began_at == at


def test_only_the_rest_of_a_session_has_its_straps_planned_not_a_session_after_it(visit):
    by, now = factory.person(), timezone.now()
    _bench_done(visit, by, now)
    Step.objects.create(visit=visit, index=5, at="roller", minutes=30, what="power run")
    under_way.pause(steps.begin(_steps(visit)[1], by=by, now=now, station=1), by=by, now=now + timedelta(minutes=30))
    assert [(step.what, step.strap_minutes) for step in _steps(visit)[1:]] == [
        ("set-up", 0),
        ("set-up", 5),
        ("power run", 0),
    ]


def test_a_gate_that_pauses_is_gone_on_with_and_counts_from_then(visit):
    by, now = factory.person(), timezone.now()
    check = Step.objects.create(visit=visit, index=1, at="bench", minutes=10, what="gate", is_check=True)
    _bench_done(visit, by, now)
    check.refresh_from_db()
    rest = under_way.pause(steps.begin(check, by=by, now=now, station=1), by=by, now=now + timedelta(minutes=4))
    assert (rest.is_check, rest.minutes) == (True, 10)
    end = now + timedelta(minutes=30)
    done = steps.was_done(rest, began_at=now - timedelta(minutes=1), by=by, now=end)
    assert (done.began_at, done.ended_at) == (now + timedelta(minutes=4), end)


def test_the_plan_of_the_rest_of_the_day_has_the_rest_of_the_step(visit):
    factory.hours_today()
    Visit.objects.filter(pk=visit.pk).update(starts_at=None, at="", minutes=0)
    by, now = factory.person(), timezone.now()
    under_way.pause(steps.begin(_steps(visit)[0], by=by, now=now, station=2), by=by, now=now)
    problem = day_plan(the_shop().local_time.day(now), the_shop(), now).problem
    job = next(one for one in problem.jobs if one.id == str(visit.number))
    assert [(step.at, step.minutes, step.ended is not None) for step in job.steps] == [
        ("bench", 0, True),
        ("bench", 40, False),
        ("roller", 90, False),
    ]


def test_only_a_step_that_runs_pauses_or_runs_late(visit):
    by, now = factory.person(), timezone.now()
    step = _steps(visit)[0]
    with refuses(f"The fix first of visit {visit.number} has not begun."):
        under_way.pause(step, by=by, now=now)
    with refuses(f"The fix first of visit {visit.number} has not begun."):
        under_way.runs_late(step, more_min=15, by=by, now=now)
    _bench_done(visit, by, now)
    with refuses(f"The fix first of visit {visit.number} is already over."):
        under_way.pause(step, by=by, now=now)
    with refuses(f"The fix first of visit {visit.number} is already over."):
        under_way.runs_late(step, more_min=15, by=by, now=now)
    assert [one.minutes for one in _steps(visit)] == [40, 90]


@pytest.mark.parametrize(("worked", "minutes"), [(10, 55), (39, 55), (50, 65), (-3, 55)])
def test_a_step_that_runs_late_has_minutes_more_from_its_end_or_from_now(visit, worked, minutes):
    by, now = factory.person(), timezone.now()
    step = steps.begin(_steps(visit)[0], by=by, now=now, station=2)
    at = now + timedelta(minutes=worked)
    assert under_way.runs_late(step, more_min=15, by=by, now=at).minutes == minutes
    assert _steps(visit)[0].minutes == minutes
    check_noted("fix first runs late: 15 min more", by=by, at=at, visit=visit)


@pytest.mark.parametrize("more", [0, -15, 10, 600])
def test_only_the_minutes_offered_can_be_added(visit, more):
    by, now = factory.person(), timezone.now()
    step = steps.begin(_steps(visit)[0], by=by, now=now, station=2)
    with pytest.raises(BadInput, match="5, 15 or 30"):
        under_way.runs_late(step, more_min=more, by=by, now=now)


def test_no_step_grows_longer_than_a_day(visit):
    by, now = factory.person(), timezone.now()
    step = steps.begin(_steps(visit)[0], by=by, now=now, station=2)
    Step.objects.filter(pk=step.pk).update(minutes=1420)
    under_way.runs_late(step, more_min=15, by=by, now=now)
    with refuses(f"The fix first of visit {visit.number} would take longer than a day: pause or finish it."):
        under_way.runs_late(step, more_min=15, by=by, now=now)
    assert _steps(visit)[0].minutes == 1435
