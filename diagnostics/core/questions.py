"""What the check sheet asks next: in the bank's order, or by what an answer is worth."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import replace

from diagnostics.core.bank import Bank, Question
from diagnostics.core.evidence import REV_OUT, gather
from diagnostics.core.findings import Answer, Case, Machine
from diagnostics.core.inference import model_of
from diagnostics.core.look_ahead import best_of_two_steps
from diagnostics.core.stop_rules import fired_rules, lean_signs
from diagnostics.core.worth import applies, worth_most

ONCE_LEAN = ("plug", "falls_back", "half_choke")  # asked as soon as one sign of lean running stands


def sheet_questions(bank: Bank, machine: Machine, answers: Mapping[str, Answer]) -> tuple[Question, ...]:
    """Every question that can be asked, in the bank's order."""
    return tuple(question for question in bank.questions if applies(question, machine, answers))


def next_in_order(
    bank: Bank, machine: Machine, answers: Mapping[str, Answer], done: Collection[str]
) -> Question | None:
    """The next question in the bank's order, or None at the end. done: ids answered, unsure or not tried."""
    return next((q for q in sheet_questions(bank, machine, answers) if q.id not in done), None)


def next_by_worth(bank: Bank, case: Case, done: Collection[str]) -> Question | None:
    """The next question of a short sheet, or None where nothing more is worth asking.

    First those always asked; as soon as one sign of lean running stands, those the engine's safety needs; then by
    worth: of the one answer, or where no single one is worth asking, of it with the best second one after it. On a
    bench visit nothing is asked for its worth, nor of a machine that a rule stops. done: ids answered, unsure or not
    tried.
    """
    open_questions = [q for q in sheet_questions(bank, case.machine, case.answers) if q.id not in done]
    needed = [q for q in open_questions if q.always]
    if fired_rules(case):
        return next((q for q in needed if q.id != REV_OUT), None)
    if lean_signs(case):
        needed += [q for q in open_questions if q.id in ONCE_LEAN]
    if needed or case.booked == "bench":
        return needed[0] if needed else None
    asked = replace(case, unsure=case.unsure | frozenset(done))
    model = model_of(bank)
    evidence = gather(model, asked)
    best = worth_most(model, asked, evidence)
    best_id = best.question if best is not None else best_of_two_steps(model, asked, evidence)
    return None if best_id is None else bank.question(best_id)
