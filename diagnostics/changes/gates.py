"""The gate: begun, ended as passed or failed, or overridden by a named person with a reason."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from django.db import transaction

from diagnostics.changes import judgements
from diagnostics.changes.findings import put_down
from diagnostics.core.bench.booked import booked_min
from diagnostics.core.gate import (
    ITEMS,
    NOT_DONE,
    OK,
    GateResult,
    GateSheet,
    gate_findings,
    judge_gate,
    why_no_gate,
)
from diagnostics.core.gate_people import check_second_person, checked_override, failed_for_good
from diagnostics.models.gates import Gate, GateItem
from diagnostics.models.sheets import Finding
from diagnostics.reads.case import visit_case
from diagnostics.reads.gates import failed_lines_of, gate_person, ran_by
from garage.changes import trail
from garage.changes.day import routes, steps
from garage.changes.day.locks import visit_for_change
from garage.changes.visit import gate_results
from garage.core import roller_rule
from garage.core.errors import Refused
from garage.core.roller_rule import RollerAct
from garage.models.people import Person
from garage.models.shop import ROLLER
from garage.models.visits import Step, Visit
from garage.reads.people import person_or_none
from garage.reads.roller_facts import roller_facts_of


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
    if sheet.rev_out != NOT_DONE:
        roller_rule.check(RollerAct.RUN_HARD, roller_facts_of(visit))
    gate.second = _second_person(gate, sheet, by)
    sheet = replace(sheet, second_person=gate.second.name if gate.second else "")
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
        gate_results.passed(visit, by=by, now=now)
        routes.roller_ready(visit, reasons=["The gate was passed."], ready_chance=1.0, by=by, now=now)
    else:
        minutes = booked_min(judgement.expected_bench_minutes)
        gate_results.failed(visit, reasons=list(result.fails), bench_minutes=minutes, by=by, now=now)
        if result.do_not_run:
            routes.do_not_run(visit, reasons=list(result.fails), bench_minutes=minutes, by=by, now=now)
    return gate


@transaction.atomic
def override(gate: Gate, *, by: Person, now: datetime, reason: str) -> Gate:
    """The boss lets a failed gate pass and says why, but not one they ran. Some things nobody overrides.

    What: the rule of the rollers. Who, and with what words: core/gate_people.py.
    """
    visit, gate = _lock(gate)
    if gate.passed is not False:
        raise Refused("Only a failed gate can be overridden.")
    if gate.overridden_by:
        raise Refused(f"This gate was already overridden, by {gate.overridden_by.name}.")
    if visit.gate_passed_at or Gate.objects.filter(visit=visit, begun_at__gt=gate.begun_at).exists():
        raise Refused("This visit has a newer gate: look at that one.")
    judgements.judge_again(visit, now=now)
    visit = gate_results.overridden(visit, failed_for_good=failed_for_good(failed_lines_of(gate)), by=by, now=now)
    reason = checked_override(gate_person(by), ran_by(gate), reason)
    gate.overridden_by, gate.overridden_at, gate.override_reason = by, now, reason
    gate.save(update_fields=["overridden_by", "overridden_at", "override_reason"])
    trail.about_visit(visit, f"gate overridden: {reason}", by=by, now=now, fails=gate.fails)
    why = f"{by.name} let it through a failed gate: {reason}"
    routes.roller_ready(visit, reasons=[why], ready_chance=1.0, by=by, now=now)
    return gate


def _second_person(gate: Gate, sheet: GateSheet, by: Person) -> Person | None:
    """Who is within call, picked from the shop's people. None if nobody was."""
    second = person_or_none(sheet.second_id)
    if sheet.results.get("second-person") == OK:
        check_second_person(gate_person(second) if second else None, {*ran_by(gate), by.pk})
    return second


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
