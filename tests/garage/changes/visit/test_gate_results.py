"""What a gate does to a visit and its time."""

from __future__ import annotations

import pytest
from django.utils import timezone

from garage.changes.visit import gate_results
from garage.core.errors import Refused
from tests.factories import booking, garage

pytestmark = pytest.mark.django_db


def test_a_failed_gate_frees_the_rollers_and_plans_bench_work_and_a_new_gate(visit, kind, start):
    by = garage.person()
    gate = visit.steps.first()
    gate.began_at = gate.ended_at = timezone.now()
    gate.by, gate.station = by, 1
    gate.save()
    failed = gate_results.failed(
        booking.arrived(visit), reasons=["It stutters at a ceiling."], bench_minutes=50, by=by, now=timezone.now()
    )
    assert (failed.route, failed.starts_at, failed.pieces.count(), failed.gate_passed_at) == (
        "fix-first",
        None,
        0,
        None,
    )
    assert failed.route_reasons == ["It stutters at a ceiling."]
    steps = [(step.what, step.at, step.minutes, step.is_check) for step in failed.steps.all()]
    assert steps == [
        ("gate", "bench", 10, True),
        ("fix first", "bench", 50, False),
        ("gate", "bench", 10, True),
        ("set-up", "roller", 90, False),
    ]
    assert booking.booked(kind, start)


def test_a_gate_lets_through_only_what_is_in_the_building(visit):
    by = garage.person()
    with pytest.raises(Refused, match="take the machine in first"):
        gate_results.passed(visit, by=by, now=timezone.now())
    assert gate_results.passed(booking.arrived(visit), by=by, now=timezone.now()).gate_passed_at is not None
