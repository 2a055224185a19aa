"""The lines of an open gate, each saved as it is answered, by whoever is at the machine."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from decimal import Decimal

from django.db import transaction

from diagnostics.changes import judgements
from diagnostics.changes.findings import put_down
from diagnostics.core.findings import Case
from diagnostics.core.gate_list import (
    AT_BENCH,
    BAD,
    MIX,
    NOT_APPLICABLE,
    OK,
    REV_OUT_LINE,
    SECOND_LINE,
    STRAPPED_DOWN,
    STRAPPED_LINES,
    STROBE_LINE,
    Item,
    line_called,
)
from diagnostics.core.gate_people import check_second_person
from diagnostics.core.gate_sheet import (
    NOT_DONE,
    PASSING_REV_OUTS,
    GateSheet,
    check_answers,
    gate_findings,
    may_be_answered,
    not_before,
)
from diagnostics.core.telling.gate_words import answer_said
from diagnostics.core.timing.strobe import PASSING_VERDICTS
from diagnostics.core.timing.strobe_marks import judge_marks
from diagnostics.models.gates import Gate, GateItem
from diagnostics.models.sheets import Finding
from diagnostics.reads.bank import the_bank
from diagnostics.reads.case import VisitCase, visit_case
from diagnostics.reads.gates import answers_of, gate_person, sheet_of_gate
from garage.changes import trail
from garage.changes.day.locks import visit_for_change
from garage.core import roller_rule, states
from garage.core.errors import BadInput, Refused
from garage.core.roller_rule import RollerAct
from garage.models.people import Person
from garage.models.visits import Visit
from garage.reads.people import person_or_none
from garage.reads.roller_facts import roller_facts_of


@transaction.atomic
def answer(gate: Gate, *, given: GateSheet, by: Person, now: datetime) -> Gate:
    """Saves the lines given. A line answered again leaves its old answer in the trail. What the strobe, the rev-out and
    the mix showed stands as the workshop's finding at once.
    """
    visit, gate = open_gate(gate)
    if not given.answered:
        raise BadInput("The answer", None, "what was found")
    known = visit_case(visit)
    given = _with_second_person(gate, given, by)
    check_answers(the_bank(), known.case, given)
    before = answers_of(gate)
    sheet = sheet_of_gate(gate, before)
    for line_id in given.answered:
        line, one = line_called(line_id), given.only(line_id)
        if line is not None:
            _check_it_may_be_answered(gate, known, sheet, line, one)
            _note_what_it_was(visit, line, sheet, sheet := sheet.with_answers(one), by=by, now=now)
            known = _write_down(known, one, by=by, now=now)
    _keep(gate, known.case, sheet)
    _save_rows(gate, given.answered, sheet, before, by=by, now=now)
    return gate


def _with_second_person(gate: Gate, given: GateSheet, by: Person) -> GateSheet:
    """Who is within call is picked from the shop's people: another than those who run the machine."""
    if SECOND_LINE not in given.results:
        return given
    second = person_or_none(given.second_id)
    if given.results[SECOND_LINE] == OK:
        on_the_rollers = gate.items.filter(item__in=[line.id for line in STRAPPED_LINES]).exclude(by=None)
        ran_it = {by.pk, *on_the_rollers.values_list("by", flat=True)}
        check_second_person(gate_person(second) if second else None, ran_it)
    return replace(given, second_person=second.name if second else "", second_id=second.pk if second else None)


def _write_down(known: VisitCase, one: GateSheet, *, by: Person, now: datetime) -> VisitCase:
    """The findings of one answer, judged at once: what stops the machine stops it before the next line is done."""
    found = gate_findings(one, known.case.machine)
    if one.results.get(MIX) == OK and known.case.answers.get("fuel") == "wrong-mix":
        found["fuel"] = "fresh"  # drained and filled again since
    for question, said in found.items():
        known = put_down(known, question=question, answer=said, source=Finding.WORKSHOP, by=by, now=now)
    if found:
        judgements.judge(known, now=now)
    return known


def forget(gate: Gate, lines: Sequence[Item], *, by: Person, now: datetime) -> Gate:
    """These lines are asked afresh. Call it inside a change only, with the visit locked."""
    answers = answers_of(gate)
    given = [line for line in lines if line.id in answers]
    if given:
        sheet = sheet_of_gate(gate, answers)
        gate.items.filter(item__in=[line.id for line in given]).delete()
        _keep(gate, visit_case(gate.visit).case, sheet.without(given))
        short = ", ".join(line.short for line in given)
        trail.about_visit(gate.visit, f"gate: to be answered again: {short}", by=by, now=now)
    return gate


def open_gate(gate: Gate) -> tuple[Visit, Gate]:
    """Both locked and as they are now. Raises Refused once it is over."""
    visit = visit_for_change(gate.visit)
    gate = Gate.objects.select_related("by", "second", "overridden_by").get(pk=gate.pk)
    gate.visit = visit
    if gate.ended_at:
        raise Refused("This gate is already over: begin another one.")
    return visit, gate


def _check_it_may_be_answered(gate: Gate, known: VisitCase, sheet: GateSheet, line: Item, one: GateSheet) -> None:
    _check_its_turn(gate, known.visit, line)
    if not may_be_answered(known.case, sheet, line, one):
        raise Refused(_why_not_now(known.case, sheet, line))
    if one.rev_out not in ("", NOT_DONE):
        roller_rule.check(RollerAct.RUN_HARD, roller_facts_of(known.visit))


def _check_its_turn(gate: Gate, visit: Visit, line: Item) -> None:
    if line.part == AT_BENCH and gate.bench_passed_at:
        raise Refused("The part at the bench is passed. If something has changed since, do that part again.")
    if line.part == STRAPPED_DOWN and not gate.bench_passed_at:
        raise Refused("The part at the bench comes first: it is not strapped down before that is passed.")
    if line.part == STRAPPED_DOWN and visit.state != states.ON_THE_ROLLERS:
        raise Refused("It is not on the rollers: say which one it stands on, then go on.")


def _why_not_now(case: Case, sheet: GateSheet, line: Item) -> str:
    before = not_before(case, sheet, line)
    if before is None:
        return f"{line.say}: not with this engine. A finding says do not run, so leave it off."
    return f"{line.say}: leave the engine off until these are in order: {'; '.join(item.say for item in before)}."


def _note_what_it_was(
    visit: Visit, line: Item, was: GateSheet, now_is: GateSheet, *, by: Person, now: datetime
) -> None:
    bank = the_bank()
    before, after = answer_said(bank, line, was), answer_said(bank, line, now_is)
    if before and before != after:
        trail.about_visit(visit, f"gate, {line.say}: {after}; was {before}", by=by, now=now)


def _keep(gate: Gate, case: Case, sheet: GateSheet) -> None:
    """What belongs to lines beside their results."""
    gate.rev_out = sheet.rev_out
    gate.strobe_readings = [list(pair) for pair in sheet.strobe]
    gate.strobe_verdict = judge_marks(case.machine, sheet.strobe).judged.verdict if sheet.strobe else ""
    gate.strobe_not_seen = "" if sheet.strobe else sheet.not_seen.strip()
    value, gate.compression_unit = sheet.compression or (None, "")
    gate.compression = None if value is None else Decimal(str(value))
    gate.highest_rpm, gate.fuel_mix = sheet.highest_rpm, sheet.fuel_mix.strip()
    gate.second_person, gate.second_id = sheet.second_person.strip(), sheet.second_id
    gate.save()


def _save_rows(
    gate: Gate,
    line_ids: tuple[str, ...],
    sheet: GateSheet,
    before: Mapping[str, GateItem],
    *,
    by: Person,
    now: datetime,
) -> None:
    for line_id in line_ids:
        row = before.get(line_id) or GateItem(gate=gate, item=line_id)
        row.result, row.words = _result(gate, sheet, line_id), sheet.words.get(line_id, "").strip()
        row.by, row.at = by, now
        row.save()


def _result(gate: Gate, sheet: GateSheet, line_id: str) -> str:
    if line_id == REV_OUT_LINE:
        return OK if sheet.rev_out in PASSING_REV_OUTS else BAD
    if line_id == STROBE_LINE:
        seen = OK if gate.strobe_verdict in PASSING_VERDICTS else BAD
        return seen if sheet.strobe else NOT_APPLICABLE
    return sheet.results[line_id]
