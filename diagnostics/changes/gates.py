"""The gate: begun, its two parts ended as passed or failed, or overridden by a named person with a reason.

Its lines are answered in gate_answers.py.
"""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from diagnostics.changes import judgements
from diagnostics.changes.gate_answers import forget, open_gate
from diagnostics.core.gate import GateResult, fails_beyond, judge_part, why_no_gate
from diagnostics.core.gate_list import AT_BENCH, RUNNING_LINES, STRAPPED_DOWN, STRAPPED_LINES
from diagnostics.core.gate_people import check_second_person, checked_override, failed_for_good
from diagnostics.core.way_back import checks_for
from diagnostics.models.gates import Gate
from diagnostics.reads.bench_cost import bench_time_of
from diagnostics.reads.case import VisitCase, visit_case
from diagnostics.reads.gates import answers_of, gate_person, let_through_of, ran_by, sheet_of_gate
from garage.changes import trail
from garage.changes.day import bench_spread, routes, steps
from garage.changes.day.locks import visit_for_change
from garage.changes.visit import gate_results
from garage.core import states
from garage.core.errors import Refused
from garage.models.people import Person
from garage.models.shop import ROLLER
from garage.models.visits import Step, Visit


@transaction.atomic
def begin(visit: Visit, *, by: Person, now: datetime) -> Gate:
    """If a gate is already open, it is continued. A machine that came off the rollers after a passed gate begins one
    with its second part: the part at the bench still stands.
    """
    visit = visit_for_change(visit)
    for_rollers = ROLLER in (visit.kind.at, visit.at)
    if why := why_no_gate(visit.number, visit.state, visit.kind.name, goes_on_the_rollers=for_rollers):
        raise Refused(why)
    open_gate = Gate.objects.filter(visit=visit, ended_at=None).first()
    if open_gate:
        return open_gate
    at_bench = None if visit.gate_passed_at else visit.gate_at_bench_passed_at
    gate = Gate.objects.create(visit=visit, begun_at=now, by=by, bench_passed_at=at_bench)
    did = "gate begun, to be strapped down again" if at_bench else "gate begun"
    trail.about_visit(visit, did, by=by, now=now)
    return gate


@transaction.atomic
def end_at_the_bench(gate: Gate, *, by: Person, now: datetime) -> Gate:
    """Judges the part at the bench. If it passed, the machine may go on the rollers to be strapped down; if not, it is
    put right first and the rollers are freed.
    """
    visit, gate = open_gate(gate)
    if gate.bench_passed_at:
        raise Refused("The part at the bench is passed already: next it is strapped down on the rollers.")
    known, sheet = visit_case(visit), sheet_of_gate(gate, answers_of(gate))
    result = judge_part(known.bank, known.case, sheet, AT_BENCH, checks_for(known.put_right))
    _check_is_done(visit, gate, by, now=now)
    gate.notes = list(result.notes)
    if not result.passed:
        return _failed(gate, known, result, by, now=now)
    judgements.judge(known, now=now)
    gate.bench_passed_at = now
    gate.save(update_fields=["notes", "bench_passed_at"])
    gate_results.passed_at_the_bench(visit, by=by, now=now)
    routes.roller_ready(visit, reasons=["The gate was passed at the bench."], ready_chance=1.0, by=by, now=now)
    return gate


@transaction.atomic
def put_on_the_rollers(gate: Gate, *, station: int, by: Person, now: datetime) -> Gate:
    """The second part begins: the machine stands on this roller and is strapped down. Put there again, its answers are
    given again.
    """
    visit, gate = open_gate(gate)
    if not gate.bench_passed_at:
        raise Refused("The part at the bench comes first: it does not go on the rollers before that is passed.")
    _check_it_still_counts(visit)
    if visit.state == states.ON_THE_ROLLERS:
        raise Refused("It stands on the rollers already.")
    forget(gate, STRAPPED_LINES, by=by, now=now)
    steps.put_on_the_rollers(visit, by=by, now=now, station=station)
    return gate


@transaction.atomic
def take_off_the_rollers(gate: Gate, *, by: Person, now: datetime) -> Gate:
    """The second part is broken off. The part at the bench stays passed."""
    visit, gate = open_gate(gate)
    forget(gate, STRAPPED_LINES, by=by, now=now)
    steps.take_off_the_rollers(visit, by=by, now=now)
    return gate


@transaction.atomic
def end_strapped_down(gate: Gate, *, by: Person, now: datetime) -> Gate:
    """Judges the second part. If it passed, or failed only by what was overridden, the machine may be run; if not, it
    comes off, and the rollers are freed.
    """
    visit, gate = open_gate(gate)
    if not gate.bench_passed_at or visit.state != states.ON_THE_ROLLERS:
        raise Refused("It is not on the rollers yet: first it passes at the bench, then it is strapped down.")
    _check_it_still_counts(visit)
    known, sheet = visit_case(visit), sheet_of_gate(gate, answers_of(gate))
    result = judge_part(known.bank, known.case, sheet, STRAPPED_DOWN)
    if gate.second:
        check_second_person(gate_person(gate.second), {by.pk})
    gate.notes = [*gate.notes, *result.notes]
    if fails_beyond(result.fails, let_through_of(gate)):
        return _failed(gate, known, result, by, now=now)
    gate.ended_at, gate.ended_by, gate.passed = now, by, gate.overridden_by is None
    gate.save(update_fields=["ended_at", "ended_by", "passed", "notes"])
    gate_results.passed(visit, by=by, now=now)
    return gate


@transaction.atomic
def do_the_bench_again(gate: Gate, *, by: Person, now: datetime) -> Gate:
    """Something has changed since the part at the bench was passed. What the engine runs for is answered again, and
    what else has changed.
    """
    visit, gate = open_gate(gate)
    if not gate.bench_passed_at:
        raise Refused("The part at the bench is not passed yet: go on with it.")
    if visit.state == states.ON_THE_ROLLERS:
        raise Refused("It stands on the rollers: take it off first.")
    forget(gate, (*RUNNING_LINES, *STRAPPED_LINES), by=by, now=now)
    gate.bench_passed_at, gate.passed, gate.fails = None, None, []
    _forget_override(gate)
    gate.save()
    gate_results.bench_again(visit, by=by, now=now)
    return gate


def _forget_override(gate: Gate) -> None:
    """What was let through is to be found again; who said so is in the trail."""
    gate.overridden_by, gate.overridden_at, gate.override_reason = None, None, ""


def _check_it_still_counts(visit: Visit) -> None:
    if visit.gate_at_bench_passed_at is None:
        raise Refused("Something was found since the part at the bench was passed: do that part again.")


def _check_is_done(visit: Visit, gate: Gate, by: Person, *, now: datetime) -> None:
    check = Step.objects.filter(visit=visit, is_check=True, ended_at=None).first()
    if check:
        steps.was_done(check, began_at=gate.begun_at, by=by, now=now)


def _failed(gate: Gate, known: VisitCase, result: GateResult, by: Person, *, now: datetime) -> Gate:
    gate.ended_at, gate.ended_by, gate.passed, gate.fails = now, by, False, list(result.fails)
    _forget_override(gate)
    gate.save()
    judgement = judgements.judge(known, now=now).judgement
    bench, reasons = bench_time_of(judgement), list(result.fails)
    visit = gate_results.failed(known.visit, reasons=reasons, bench_minutes=bench.planned, by=by, now=now)
    if result.do_not_run:
        visit = routes.do_not_run(visit, reasons=reasons, bench_minutes=bench.planned, by=by, now=now)
    bench_spread.put_down(visit, low_min=bench.low, high_min=bench.high)
    return gate


@transaction.atomic
def override(gate: Gate, *, by: Person, now: datetime, reason: str) -> Gate:
    """The boss lets a failed gate pass and says why, but not one they ran. Some things nobody overrides.

    What: the rule of the rollers. Who, and with what words: core/gate_people.py. The gate goes on with its second part,
    again if it failed there: nobody says of straps and extraction unseen that they are in order.
    """
    visit, gate = _lock(gate)
    if gate.passed is not False:
        raise Refused("Only a failed gate can be overridden.")
    if gate.overridden_by:
        raise Refused(f"This gate was already overridden, by {gate.overridden_by.name}.")
    if visit.gate_passed_at or Gate.objects.filter(visit=visit, begun_at__gt=gate.begun_at).exists():
        raise Refused("This visit has a newer gate: look at that one.")
    judgements.judge_again(visit, now=now)
    answers = answers_of(gate)
    for_good = failed_for_good({item: row.result for item, row in answers.items()})
    visit = gate_results.overridden(visit, failed_for_good=for_good, by=by, now=now)
    gate.ended_at, gate.bench_passed_at = None, gate.bench_passed_at or now
    reason = checked_override(gate_person(by), ran_by(gate, answers.values()), reason)
    gate.overridden_by, gate.overridden_at, gate.override_reason = by, now, reason
    gate.save(update_fields=["ended_at", "bench_passed_at", "overridden_by", "overridden_at", "override_reason"])
    trail.about_visit(visit, f"gate overridden: {reason}", by=by, now=now, fails=gate.fails)
    why = f"{by.name} let it through a failed gate: {reason}"
    routes.roller_ready(visit, reasons=[why], ready_chance=1.0, by=by, now=now)
    return gate


def _lock(gate: Gate) -> tuple[Visit, Gate]:
    visit = visit_for_change(gate.visit)
    return visit, Gate.objects.select_related("overridden_by").get(pk=gate.pk)
