"""What the check sheet asks next, by the worth of an answer, and everything it can ask, in the bank's order."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import replace

from diagnostics.core.asking.engine_sake import for_the_engines_sake
from diagnostics.core.asking.look_ahead import best_of_two_steps
from diagnostics.core.asking.worth import applies, is_open, worth_most
from diagnostics.core.bank.bank import Bank, Question
from diagnostics.core.findings import Answer, Case, MachineFacts
from diagnostics.core.judging.cells import sums_of
from diagnostics.core.judging.evidence import REV_OUT, gather
from diagnostics.core.judging.inference import model_of
from diagnostics.core.judging.routing import settled_share
from diagnostics.core.stops import fired_rules, lean_signs

OILING, PETROL = "oiling", "fuel"
ONCE_LEAN = ("plug", "falls_back", "half_choke")  # asked as soon as there is one sign of lean running


def sheet_questions(bank: Bank, machine: MachineFacts, answers: Mapping[str, Answer]) -> tuple[Question, ...]:
    """Every question that applies, in the bank's order."""
    return tuple(question for question in bank.questions if applies(question, machine, answers))


def must_ask(bank: Bank, case: Case) -> tuple[Question, ...]:
    """What a sheet cannot be sent without: some questions always, and others for the engine's safety.

    One sign of lean running adds the plug, the falling revs and the half choke. A machine that a rule stops is never
    asked to go to full throttle.
    """
    asked = sheet_questions(bank, case.machine, case.answers)
    if fired_rules(case):
        return tuple(question for question in asked if question.always and question.id != REV_OUT)
    lean = ONCE_LEAN if lean_signs(case) else ()
    return (*(q for q in asked if q.always), *(q for q in asked if q.id in lean and not q.always))


def next_by_worth(bank: Bank, case: Case, done: Collection[str]) -> Question | None:
    """The next question of a short sheet, or None if nothing more is worth asking.

    First come the questions that must be asked, then those worth asking for the engine's sake, then those worth most
    for the route: a single answer, or, if no single one is worth it, an answer with the best second one after it. A
    bench visit is asked nothing for the route, and a machine that a rule stops is asked nothing more. done: ids
    answered, unsure or not tried.
    """
    needed = next((question for question in must_ask(bank, case) if question.id not in done), None)
    if needed is not None or fired_rules(case):
        return needed
    asked = replace(case, unsure=case.unsure | frozenset(done))
    model = model_of(bank)
    evidence = gather(model, asked)
    best = for_the_engines_sake(model, asked, evidence)
    if best is None and case.booked != "bench":
        [sums] = sums_of(model, evidence.weight()[None])
        by_one = worth_most(evidence, sums, settled_share(model, asked))
        best = by_one.question if by_one is not None else best_of_two_steps(model, asked, evidence)
    if best == PETROL and is_open(bank.question(OILING), asked):
        best = OILING  # with a pump, neat petrol is right: which it is must be known before the petrol is asked about
    return None if best is None else bank.question(best)
