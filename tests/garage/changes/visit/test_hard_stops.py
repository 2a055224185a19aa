"""What the findings say against running a machine, as the lowest room keeps it."""

import pytest
from django.utils import timezone

from garage.changes.visit import hard_stops
from garage.core import states
from garage.models.actors import SYSTEM
from garage.models.trail import TrailRow
from garage.models.visits import Step, Visit
from tests.factories import booking

pytestmark = pytest.mark.django_db
PINKS, NIPPED = "It pinks.", "It nipped up."


def told(visit, *sentences):
    return hard_stops.must_not_run(visit, sentences=sentences, by=SYSTEM, now=timezone.now())


def test_what_is_said_replaces_what_was_said_before_and_leaves_a_trail(visit):
    assert told(visit, PINKS, NIPPED).must_not_run == [PINKS, NIPPED]
    assert told(visit, NIPPED).must_not_run == [NIPPED]
    assert told(visit).must_not_run == Visit.objects.get().must_not_run == []
    assert list(TrailRow.objects.filter(visit=visit).values_list("did", flat=True))[:3] == [
        "no finding says any more that it must not run",
        "must not run: It nipped up.",
        "must not run: It pinks. It nipped up.",
    ]


def test_the_same_said_again_changes_nothing(visit):
    told(visit, PINKS)
    before = TrailRow.objects.count()
    told(visit, PINKS)
    assert TrailRow.objects.count() == before


def test_the_agreed_time_stays_until_the_route_is_decided(visit):
    found = told(visit, PINKS)
    assert (found.state, found.at, found.starts_at) == (states.BOOKED, "roller", visit.starts_at)
    assert found.pieces.count() == 18  # 90 minutes in pieces of five


def test_a_gate_passed_before_counts_no_more_and_another_is_planned_before_the_rollers(visit):
    now = timezone.now()
    booking.arrived(visit)
    Visit.objects.filter(pk=visit.pk).update(gate_passed_at=now)
    visit.steps.filter(is_check=True).update(began_at=now, ended_at=now)
    assert told(visit, PINKS).gate_passed_at is None
    assert [(step.what, step.index) for step in Step.objects.filter(visit=visit)] == [
        ("gate", 0),
        ("gate", 1),
        ("set-up", 2),
    ]
    assert told(visit).gate_passed_at is None
    assert visit.steps.count() == 3


def test_no_gate_is_planned_where_no_roller_step_waits(visit):
    now = timezone.now()
    booking.arrived(visit)
    Visit.objects.filter(pk=visit.pk).update(gate_passed_at=now)
    visit.steps.update(began_at=now)
    told(visit, PINKS)
    assert visit.steps.count() == 2
