"""A visit as the judgement takes it: its machine, what is booked, what was found, what being wrong costs."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from diagnostics.core.findings import UNSURE, Case, Machine, read_case, read_machine
from diagnostics.hearing.reads.heard import heard_values
from diagnostics.models.sheets import Finding, Sheet
from diagnostics.reads.bank import the_bank
from garage.models import owners
from garage.models.shop import Shop
from garage.models.visits import Visit
from garage.reads.shop import the_shop

FACTS = ("fires_per_turn", "gearbox", "ignition", "fed_by", "spec_btdc", "spec_curve", "curve_deg", "design_rpm")


def machine_facts(machine: owners.Machine) -> dict[str, Any]:
    """What is known of it, keys as in the contract of assess: its own measures before those of its kind."""
    own, kinds = _facts(machine), _facts(machine.kind) if machine.kind else {}
    if own.get("spec_curve", kinds.get("spec_curve")) != kinds.get("spec_curve"):
        kinds.pop("curve_deg", None)  # the size of another curve than its own
    return kinds | own


def _facts(row: owners.Measures) -> dict[str, Any]:
    values = {name: getattr(row, name) for name in FACTS}
    return {
        name: float(value) if isinstance(value, Decimal) else value
        for name, value in values.items()
        if value not in (None, "")
    }


def facts_of(visit: Visit, sheet: Sheet | None) -> dict[str, Any]:
    """The machine's facts, with the owner's word that it is an automatic where nothing else is known of its gears."""
    facts = machine_facts(visit.machine)
    if sheet is not None and sheet.is_automatic:
        facts.setdefault("gearbox", "automatic")
    return facts


def machine_of(visit: Visit) -> Machine:
    return read_machine(facts_of(visit, sheet_of(visit)))


def standing(visit: Visit) -> dict[str, Finding]:
    """The standing findings by question."""
    return {row.question: row for row in visit.findings.filter(is_standing=True).select_related("by")}


def sheet_of(visit: Visit) -> Sheet | None:
    return Sheet.objects.filter(visit=visit).first()


def ticks_of(sheet: Sheet | None) -> tuple[str, ...]:
    """The ticks of the rev-out page that stand: its keys keep the test off, the one for an automatic included."""
    return () if sheet is None else tuple(name for name in Sheet.TICKS if getattr(sheet, name))


def answers_of(findings: dict[str, Finding], ticks: tuple[str, ...]) -> dict[str, Any]:
    """What assess is given: not tried is left out, and the owner's rev-out too once something forbids the test."""
    return {
        question: row.answer
        for question, row in findings.items()
        if row.answer != Finding.NOT_TRIED and not (question == "rev_out" and ticks and row.source == Finding.OWNER)
    }


def case_values(visit: Visit) -> dict[str, Any]:
    """The line that the assess command would be given for this visit."""
    return values_from(visit, sheet_of(visit), standing(visit))


def values_from(visit: Visit, sheet: Sheet | None, findings: dict[str, Finding]) -> dict[str, Any]:
    """The same line, where sheet and standing findings are at hand already."""
    shop = the_shop()
    return {
        "case": f"V-{visit.number}",
        "machine": facts_of(visit, sheet),
        "booked": visit.kind.booked_as,
        "answers": answers_of(findings, ticks_of(sheet)),
        "heard": heard_values(visit, the_bank().hearing.own_verdict_confidence),
        "costs": costs_of(shop),
    }


def costs_of(shop: Shop) -> dict[str, int]:
    return {
        "slot_lost": shop.slot_lost_pence,
        "bench_check": shop.bench_check_pence,
        "call": shop.call_pence,
        "bench_minute": shop.bench_minute_pence,
    }


def case_of(visit: Visit) -> Case:
    return read_case(the_bank(), case_values(visit))


def answer_words(question_id: str, answer: Any) -> str:
    """A finding's answer as it is read: "It falls away and won’t climb", "17.5 degrees BTDC", "not sure"."""
    question = next((q for q in the_bank().questions if q.id == question_id), None)
    if answer == UNSURE:
        return "not sure"
    if answer == Finding.NOT_TRIED:
        return "not tried"
    if question is None:
        return str(answer)
    if isinstance(answer, list):
        return ", ".join(question.say(one) for one in answer)
    return question.say(answer) if isinstance(answer, str) else f"{answer:g} {question.unit}"
