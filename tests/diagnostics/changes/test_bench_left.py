"""What the bench finds brings its minutes in the plan up to date, and undoing it brings them back."""

from datetime import timedelta

import pytest
from django.utils import timezone

from diagnostics.changes import bench_outcomes, causes
from diagnostics.core.bench.booked import LEAST_MINUTES, booked_min
from diagnostics.models.bench import BenchOutcome
from diagnostics.models.causes import Cause
from diagnostics.pages.bench import bench_of
from diagnostics.pages.causes import cause_lines
from diagnostics.reads.bench_cost import bench_time_of
from diagnostics.reads.bench_left import found_of, left_after
from diagnostics.reads.judgement import latest
from diagnostics.reads.weighed import weighed
from garage.changes.day import steps
from garage.models.visits import Step, Visit
from garage.reads.day_plan import day_plan
from garage.reads.shop import the_shop
from tests.factories import garage, jobs

pytestmark = pytest.mark.django_db
PLANNED = 95  # no judgement would say just that


@pytest.fixture
def mechanic():
    return garage.person()


@pytest.fixture
def visit(mechanic) -> Visit:
    """A judged machine that is here, with one bench step, not begun."""
    row = jobs.judged_here(mechanic)
    row.steps.all().delete()
    Visit.objects.filter(pk=row.pk).update(bench_minutes=PLANNED, starts_at=None, at="", minutes=0)
    Step.objects.create(visit=row, index=0, at="bench", minutes=PLANNED, what="fix first")
    row.refresh_from_db()
    return row


def minutes(visit: Visit) -> int:
    return visit.steps.get(index=0).minutes


def expected(visit: Visit) -> int:
    """As booked, by what stands on the card."""
    outcomes = BenchOutcome.objects.filter(visit=visit, withdrawn_at=None)
    standing = Cause.objects.filter(visit=visit, withdrawn_at=None)
    known = weighed(latest(visit))
    return booked_min(left_after(known, found_of(list(outcomes), list(standing))).expected_minutes)


def steps_to_do(visit: Visit) -> list[str]:
    return [line.step.id for line in bench_of(visit, cause_lines(visit), is_open=True).steps]


def test_a_step_found_good_changes_the_minutes_that_wait(visit, mechanic):
    bench_outcomes.found_good(visit, step=steps_to_do(visit)[0], by=mechanic, now=timezone.now())
    visit.refresh_from_db()
    assert minutes(visit) == expected(visit) != PLANNED
    assert visit.bench_minutes == minutes(visit)


def test_the_minutes_are_those_that_the_card_says(visit, mechanic):
    bench_outcomes.found_good(visit, step=steps_to_do(visit)[0], by=mechanic, now=timezone.now())
    said = bench_of(visit, cause_lines(visit), is_open=True).minutes
    assert minutes(visit) == booked_min(said) or abs(minutes(visit) - said) <= 5


def test_a_running_step_has_what_it_took_so_far_and_what_is_left(visit, mechanic):
    nine = timezone.now()
    steps.begin(visit.steps.get(), by=mechanic, now=nine, station=1)
    bench_outcomes.found_good(visit, step=steps_to_do(visit)[0], by=mechanic, now=nine + timedelta(minutes=20))
    assert minutes(visit) == 20 + expected(visit)


def test_undoing_an_outcome_brings_the_minutes_back_one_by_one(visit, mechanic):
    nine = timezone.now()
    steps.begin(visit.steps.get(), by=mechanic, now=nine, station=1)
    first, second, *_ = steps_to_do(visit)
    one = bench_outcomes.found_good(visit, step=first, by=mechanic, now=nine + timedelta(minutes=10))
    after_one = minutes(visit)
    two = bench_outcomes.found_good(visit, step=second, by=mechanic, now=nine + timedelta(minutes=25))
    assert minutes(visit) != after_one
    bench_outcomes.take_back(two, by=mechanic, now=nine + timedelta(minutes=31))
    assert minutes(visit) == after_one
    bench_outcomes.take_back(one, by=mechanic, now=nine + timedelta(minutes=32))
    visit.refresh_from_db()
    assert minutes(visit) == PLANNED
    assert visit.bench_minutes == bench_time_of(latest(visit).judgement).planned


def test_this_was_it_leaves_at_least_the_least_that_is_booked(visit, mechanic):
    bench_outcomes.this_was_it(visit, step="plug", fault="ht-side", by=mechanic, now=timezone.now())
    assert minutes(visit) == expected(visit) >= LEAST_MINUTES
    assert minutes(visit) % 5 == 0


def test_a_cause_named_by_hand_counts_as_well_and_one_in_own_words_does_not(visit, mechanic):
    causes.confirm(visit, words="a mouse nest", by=mechanic, now=timezone.now())
    assert minutes(visit) == PLANNED
    named = causes.confirm(visit, fault="ht-side", by=mechanic, now=timezone.now())
    assert minutes(visit) == expected(visit) != PLANNED
    causes.withdraw(named, by=mechanic, now=timezone.now())
    assert minutes(visit) == PLANNED


def test_the_rest_of_the_day_is_planned_by_it(visit, mechanic):
    garage.hours_today()
    now = timezone.now()
    bench_outcomes.this_was_it(visit, step="plug", fault="ht-side", by=mechanic, now=now)
    jobs_of_day = day_plan(the_shop().local_time.day(now), the_shop(), now).problem.jobs
    [job] = [one for one in jobs_of_day if one.id == str(visit.number)]
    assert job.steps[0].minutes == minutes(visit)


def test_without_a_judgement_or_without_bench_work_nothing_changes(mechanic):
    unjudged = jobs.visit_here()
    Step.objects.create(visit=unjudged, index=0, at="bench", minutes=PLANNED, what="fix first")
    bench_outcomes.found_good(unjudged, step="plug", by=mechanic, now=timezone.now())
    assert minutes(unjudged) == PLANNED
    rollers = jobs.judged_here(mechanic)
    rollers.steps.all().delete()
    Step.objects.create(visit=rollers, index=0, at="roller", minutes=PLANNED, what="set-up")
    bench_outcomes.found_good(rollers, step="plug", by=mechanic, now=timezone.now())
    assert minutes(rollers) == PLANNED
