"""The minutes that a bench step still needs, as they are told from above."""

from datetime import timedelta

import pytest
from django.utils import timezone

from garage.changes.day import bench_time, planned_steps, steps, under_way
from garage.core import states
from garage.models.visits import Step, Visit
from tests.factories import garage

pytestmark = pytest.mark.django_db
NOW = timezone.now()


@pytest.fixture
def visit() -> Visit:
    """To be put right, with 50 minutes at the bench and the gate after that."""
    garage.shop()
    row = garage.visit(state=states.HERE, arrived_at=NOW, bench_minutes=50)
    Step.objects.create(visit=row, index=0, at="bench", minutes=50, what="fix first")
    Step.objects.create(visit=row, index=1, at="bench", minutes=10, what="gate", is_check=True)
    return row


def _minutes(visit: Visit) -> list[int]:
    return list(visit.steps.order_by("index").values_list("minutes", flat=True))


def _begun(visit: Visit, by) -> Step:
    return steps.begin(visit.steps.get(index=0), by=by, now=NOW, station=1)


def after(minutes: int):
    return NOW + timedelta(minutes=minutes)


def test_a_step_that_waits_has_what_is_left(visit):
    bench_time.is_left(visit, minutes=25, since=after(3))
    visit.refresh_from_db()
    assert (_minutes(visit), visit.bench_minutes) == ([25, 10], 25)


def test_a_running_step_has_the_minutes_so_far_and_what_is_left(visit):
    _begun(visit, garage.person())
    bench_time.is_left(visit, minutes=25, since=after(12))
    assert _minutes(visit) == [37, 10]
    bench_time.is_left(visit, minutes=15, since=after(30))
    assert _minutes(visit) == [45, 10]


def test_what_was_found_before_it_began_counts_from_its_beginning(visit):
    _begun(visit, garage.person())
    bench_time.is_left(visit, minutes=25, since=after(-40))
    assert _minutes(visit) == [25, 10]


def test_a_step_that_nobody_ended_has_a_day_at_most(visit):
    _begun(visit, garage.person())
    bench_time.is_left(visit, minutes=25, since=after(60 * 24 * 30))
    assert _minutes(visit) == [1465, 10]


def test_with_nothing_found_any_more_it_is_as_it_was_planned(visit):
    _begun(visit, garage.person())
    bench_time.as_planned(visit, minutes=50)
    assert _minutes(visit) == [50, 10]
    bench_time.is_left(visit, minutes=25, since=after(12))
    bench_time.is_left(visit, minutes=15, since=after(30))
    bench_time.as_planned(visit, minutes=50)
    visit.refresh_from_db()
    assert (_minutes(visit), visit.bench_minutes) == ([50, 10], 50)


def test_minutes_given_by_hand_stay_when_nothing_is_found_any_more(visit):
    by = garage.person()
    step = _begun(visit, by)
    bench_time.is_left(visit, minutes=25, since=after(10))
    under_way.runs_late(step, more_min=15, by=by, now=after(10))
    assert _minutes(visit) == [50, 10]
    bench_time.as_planned(visit, minutes=50)
    assert _minutes(visit) == [65, 10]


def test_the_rest_of_a_step_that_paused_goes_on_with_what_was_planned_of_it(visit):
    by = garage.person()
    step = _begun(visit, by)
    bench_time.is_left(visit, minutes=25, since=after(10))
    under_way.pause(step, by=by, now=after(20))
    assert _minutes(visit) == [20, 15, 10]
    bench_time.is_left(visit, minutes=20, since=after(21))
    assert _minutes(visit) == [20, 20, 10]
    bench_time.as_planned(visit, minutes=50)
    assert _minutes(visit) == [20, 30, 10]


def test_a_new_plan_of_the_bench_forgets_what_was_planned_before(visit):
    bench_time.is_left(visit, minutes=25, since=NOW)
    planned_steps.need_fix_first(visit, 25)
    bench_time.as_planned(visit, minutes=50)
    assert _minutes(visit) == [25, 10]


def test_of_a_bench_visit_that_was_never_routed_only_the_step_changes():
    garage.shop()
    visit = garage.visit(state=states.HERE, arrived_at=NOW)
    Step.objects.create(visit=visit, index=0, at="bench", minutes=60, what="bench check")
    bench_time.is_left(visit, minutes=25, since=NOW)
    visit.refresh_from_db()
    assert (_minutes(visit), visit.bench_minutes) == ([25], None)


def test_the_gate_and_what_is_over_stay_as_they_are(visit):
    by = garage.person()
    steps.end(_begun(visit, by), by=by, now=after(20))
    bench_time.is_left(visit, minutes=25, since=after(30))
    bench_time.as_planned(visit, minutes=25)
    visit.refresh_from_db()
    assert (_minutes(visit), visit.bench_minutes) == ([50, 10], 50)
