"""The gate: begun, ended as passed or failed, or overridden by a named person with a reason."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from diagnostics.changes import judgements
from diagnostics.changes.findings import put_down
from diagnostics.core.bench.booked import booked_min
from diagnostics.core.gate import ITEMS, GateResult, GateSheet, gate_findings, judge_gate, why_no_gate
from diagnostics.models.gates import Gate, GateItem
from diagnostics.models.sheets import Finding
from diagnostics.reads.case import visit_case
from garage.changes import trail
from garage.changes.day import routes, steps
from garage.changes.day.locks import visit_for_change
from garage.changes.visit import gate_results
from garage.core.errors import BadInput, Refused
from garage.models.people import Person
from garage.models.shop import ROLLER
from garage.models.visits import Step, Visit

LONGEST_REASON = 200  # characters


@transaction.atomic
def begin(visit: Visit, *, by: Person, now: datetime) -> Gate:
    """If a gate is already open, it is continued."""
    visit = visit_for_change(visit)
    for_rollers = ROLLER in (visit.kind.at, visit.at)
    if why := why_no_gate(visit.number, visit.state, visit.kind.name, goes_on_the_rollers=for_rollers):
        raise Refused(why)
    open_gate = Gate.objects.filter(visit=visit, ended_at=None).first()
    if open_gate:
        return open_gate
    gate = Gate.objects.create(visit=visit, begun_at=now, by=by)
    trail.about_visit(visit, "gate begun", by=by, now=now)
    return gate


@transaction.atomic
def end(gate: Gate, *, by: Person, now: datetime, sheet: GateSheet) -> Gate:
    """Judges the gate. If it passed, the machine may go on the rollers; if not, it is put right first and the rollers
    are freed.
    """
    visit, gate = _lock(gate)
    if gate.ended_at:
        raise Refused("This gate is already over: begin another one.")
    known = visit_case(visit)
    result = judge_gate(known.bank, known.case, sheet)
    _keep(gate, sheet, result, now=now)
    for question, answer in gate_findings(sheet, known.case.machine).items():
        known = put_down(known, question=question, answer=answer, source=Finding.WORKSHOP, by=by, now=now)
    judgement = judgements.judge(known, now=now).judgement
    check = Step.objects.filter(visit=visit, is_check=True, ended_at=None).first()
    if check:
        steps.was_done(check, began_at=gate.begun_at, by=by, now=now)
    if result.passed:
        _let_through(visit, "The gate was passed.", by, now=now)
    else:
        minutes = booked_min(judgement.expected_bench_minutes)
        gate_results.failed(visit, reasons=list(result.fails), bench_minutes=minutes, by=by, now=now)
        if result.do_not_run:
            routes.do_not_run(visit, reasons=list(result.fails), bench_minutes=minutes, by=by, now=now)
    return gate


@transaction.atomic
def override(gate: Gate, *, by: Person, now: datetime, reason: str) -> Gate:
    """A named person lets a failed gate pass and says why. Nobody can override do not run."""
    visit, gate = _lock(gate)
    reason = reason.strip()
    if gate.passed is not False:
        raise Refused("Only a failed gate can be overridden.")
    if gate.overridden_by:
        raise Refused(f"This gate was already overridden, by {gate.overridden_by.name}.")
    if visit.gate_passed_at or Gate.objects.filter(visit=visit, begun_at__gt=gate.begun_at).exists():
        raise Refused("This visit has a newer gate: look at that one.")
    if judgements.judge_again(visit, now=now).judgement.stops:
        raise Refused(
            "A machine that must not be run stays off the rollers: enter what the bench found, then do the gate again."
        )
    if not reason:
        raise BadInput("The reason", None, "why it may go on the rollers all the same")
    if len(reason) > LONGEST_REASON:
        raise BadInput("The reason", f"{len(reason)} characters", f"at most {LONGEST_REASON} characters")
    gate.overridden_by, gate.overridden_at, gate.override_reason = by, now, reason
    gate.save(update_fields=["overridden_by", "overridden_at", "override_reason"])
    trail.about_visit(visit, f"gate overridden: {reason}", by=by, now=now, fails=gate.fails)
    _let_through(visit, f"{by.name} let it through a failed gate: {reason}", by, now=now)
    return gate


def _let_through(visit: Visit, why: str, by: Person, *, now: datetime) -> None:
    """The machine leaves the fix-first list too."""
    gate_results.passed(visit, by=by, now=now)
    routes.roller_ready(visit, reasons=[why], ready_chance=1.0, by=by, now=now)


def _lock(gate: Gate) -> tuple[Visit, Gate]:
    visit = visit_for_change(gate.visit)
    return visit, Gate.objects.select_related("overridden_by").get(pk=gate.pk)


def _keep(gate: Gate, sheet: GateSheet, result: GateResult, *, now: datetime) -> None:
    gate.ended_at, gate.passed, gate.fails = now, result.passed, list(result.fails)
    gate.rev_out = sheet.rev_out
    gate.strobe_readings = [list(pair) for pair in sheet.strobe]
    gate.strobe_verdict = result.strobe.verdict if result.strobe else ""
    gate.strobe_not_seen = "" if sheet.strobe else sheet.not_seen.strip()
    gate.highest_rpm, gate.fuel_mix, gate.second_person = sheet.highest_rpm, sheet.fuel_mix, sheet.second_person
    gate.notes = list(result.notes)
    gate.save()
    GateItem.objects.bulk_create(
        GateItem(gate=gate, item=item.id, result=sheet.results[item.id], words=sheet.words.get(item.id, "").strip())
        for item in ITEMS
    )
