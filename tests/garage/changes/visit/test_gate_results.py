"""What a gate does to a visit and its time."""

from __future__ import annotations

import pytest
from django.utils import timezone

from garage.changes.day import steps
from garage.changes.visit import gate_results
from garage.core import states
from garage.core.errors import Refused
from garage.models.trail import TrailRow
from garage.models.visits import Visit
from tests.factories import booking, garage
from tests.sentences import check_noted, refuses

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
        ("gate", "bench", 20, True),
        ("fix first", "bench", 50, False),
        ("gate", "bench", 20, True),
        ("set-up", "roller", 90, False),
    ]
    assert booking.booked(kind, start)


def test_a_part_passed_at_the_bench_does_not_open_the_rollers_and_takes_back_an_earlier_gate(visit):
    by = garage.person()
    with pytest.raises(Refused, match="take the machine in first"):
        gate_results.passed_at_the_bench(visit, by=by, now=timezone.now())
    gate_results.passed(booking.arrived(visit), by=by, now=timezone.now())
    half = gate_results.passed_at_the_bench(visit, by=by, now=timezone.now())
    assert (half.gate_at_bench_passed_at is not None, half.gate_passed_at) == (True, None)


def test_a_failed_gate_takes_the_machine_off_the_rollers(visit):
    by = garage.person()
    gate_results.passed_at_the_bench(booking.arrived(visit), by=by, now=timezone.now())
    steps.put_on_the_rollers(visit, by=by, now=timezone.now(), station=1)
    failed = gate_results.failed(visit, reasons=["A strap is torn."], bench_minutes=20, by=by, now=timezone.now())
    roller = failed.steps.get(at="roller")
    assert (failed.state, failed.gate_at_bench_passed_at) == ("here", None)
    assert (roller.strapped_from, roller.by, roller.station, roller.strap_minutes) == (None, None, None, 5)


def test_a_gate_lets_through_only_what_is_in_the_building(visit):
    by = garage.person()
    with pytest.raises(Refused, match="take the machine in first"):
        gate_results.passed(visit, by=by, now=timezone.now())
    assert gate_results.passed(booking.arrived(visit), by=by, now=timezone.now()).gate_passed_at is not None


def test_a_passed_gate_is_kept_and_noted(visit):
    by, now = garage.person(), timezone.now()
    gate_results.passed(booking.arrived(visit), by=by, now=now)
    check_noted("let through the gate", by=by, at=now, visit=visit)
    assert Visit.objects.get().gate_passed_at == now
    Visit.objects.update(state=states.BOOKED)
    with refuses(f"Visit {visit.number} is booked: take the machine in first."):
        gate_results.passed(visit, by=by, now=now)


def test_a_failed_gate_takes_back_the_earlier_pass_and_sends_the_visit_to_fix_first(visit):
    by, now = garage.person(), timezone.now()
    Visit.objects.update(gate_passed_at=now, state=states.HERE)
    failed = gate_results.failed(visit, reasons=("It pinks.",), bench_minutes=50, by=by, now=now)
    check_noted("routed: fix first", by=by, at=now, visit=visit, reasons=["It pinks."])
    row = TrailRow.objects.get(visit=visit, did="failed the gate")
    assert (row.by, row.at, row.detail) == (by, now, {"reasons": ["It pinks."]})
    kept = Visit.objects.get()
    assert (kept.gate_passed_at, kept.bench_minutes, kept.route_at) == (None, 50, now)
    assert failed.route == kept.route == "fix-first"


@pytest.mark.parametrize(("before", "after"), [(0.9, 0.5), (0.3, 0.3)])
def test_after_a_failed_gate_the_chance_to_be_ready_is_a_half_at_most(visit, before, after):
    Visit.objects.update(ready_chance=before, state=states.HERE)
    failed = gate_results.failed(visit, reasons=[], bench_minutes=50, by=garage.person(), now=timezone.now())
    assert failed.ready_chance == after


def test_a_bench_visit_that_fails_a_gate_is_not_planned_for_the_rollers(start):
    kind = garage.visit_kind(slug="bench", booked_as="bench", name="Bench check", at="bench", minutes=60)
    visit = booking.arrived(booking.booked(kind, start))
    failed = gate_results.failed(visit, reasons=[], bench_minutes=50, by=garage.person(), now=timezone.now())
    assert [(step.at, step.what) for step in failed.steps.all()] == [("bench", "bench check")]
