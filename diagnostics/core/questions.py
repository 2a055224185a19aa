"""What to ask next: in the bank's order, or by what an answer is worth in pence."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace

import numpy as np

from diagnostics.core.bank import NUMBER, Bank, Question
from diagnostics.core.evidence import IDLE, PEAK, REV_OUT, Evidence, gather, heard_of, rev_out_chances, story_of
from diagnostics.core.findings import Answer, Case, Machine
from diagnostics.core.inference import Floats, Model, log_prior, model_of
from diagnostics.core.routing import route_costs_pence, settled_share, spoils_mask
from diagnostics.core.stop_rules import fired_rules, lean_signs
from diagnostics.core.strobe_chances import log_strobe

ONCE_LEAN = ("plug", "falls_back", "half_choke")  # asked as soon as one sign of lean running stands
STROBE_GRID_DEG = np.arange(-14.0, 14.1, 2.0)  # readings off spec tried for the worth of a strobe question
UNKNOWN_SPEC_DEG = 18.0  # where the spec is not known, readings are tried about here; they weigh by their drift alone


@dataclass(frozen=True)
class AskNext:
    """pence: what the answer is expected to save over the cost routes, less what asking costs."""

    question: str
    pence: float


def applies(question: Question, machine: Machine, answers: Mapping[str, Answer]) -> bool:
    """Whether the question can be asked of such a machine after these answers.

    An automatic has no neutral and no gears to compare: its rev-out is the workshop's. A machine that has nipped up or
    rattles is not sent to full throttle for the sake of a question.
    """
    if question.not_on & machine.traits:
        return False
    return not any(answers.get(other) in barring for other, barring in question.not_when.items())


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
    worth. A machine that a rule stops is asked no more than that. done: ids answered, unsure or not tried.
    """
    open_questions = [q for q in sheet_questions(bank, case.machine, case.answers) if q.id not in done]
    needed = [q for q in open_questions if q.always]
    if fired_rules(case):
        return next((q for q in needed if q.id != REV_OUT), None)
    if lean_signs(case):
        needed += [q for q in open_questions if q.id in ONCE_LEAN]
    if needed:
        return needed[0]
    asked = replace(case, unsure=case.unsure | frozenset(done))
    model = model_of(bank)
    best = worth_most(model, asked, gather(model, asked))
    return None if best is None else bank.question(best.question)


def ask_next(model: Model, case: Case, evidence: Evidence) -> AskNext | None:
    """The unasked question worth most, or None: never on a bench visit or where a rule stops the machine."""
    if case.booked == "bench" or fired_rules(case):
        return None
    return worth_most(model, case, evidence)


def worth_most(model: Model, case: Case, evidence: Evidence) -> AskNext | None:
    """The open question with the highest worth, where any is worth asking.

    Expected value of information: the cheapest route's cost now, less its mean cost once the answer is known, less the
    cost of asking; over the three cost routes as if no plain case were there (the contract of assess). No answer can
    save more than the cheapest route costs now, so dearer questions are passed over unlooked at.
    """
    weight = evidence.weight()
    spoils = spoils_mask(model, case.booked)
    now = min(route_costs_pence(case.costs, float(weight @ spoils), settled_share(model, case)).values())
    best: AskNext | None = None
    both = np.column_stack([weight, weight * spoils])
    signs = model.chance @ both  # (answers, 2): chance of each answer, and with it that the visit is spoilt
    for question in model.bank.questions:
        if not _is_open(question, case) or question.cost_pence >= now:
            continue
        chances = _answer_chances(model, case, question, signs, both)
        if chances is None:
            continue
        worth = now - _expected_cost_pence(model, case, question, chances) - question.cost_pence
        if worth > 0 and (best is None or worth > best.pence):
            best = AskNext(question.id, worth)
    return best


def _is_open(question: Question, case: Case) -> bool:
    is_asked = question.id in case.answers or question.id in case.unsure
    return not is_asked and applies(question, case.machine, case.answers)


def _expected_cost_pence(model: Model, case: Case, question: Question, chances: Floats) -> float:
    """Mean cost of the cheapest route after the answer. chances: (answers, 2) of it, and of it with a spoilt visit."""
    cost = 0.0
    answers: tuple[Answer, ...] = question.answer_ids or (0.0,) * len(chances)
    for answer, (chance, spoilt) in zip(answers, chances.tolist(), strict=True):
        given = (answer,) if question.nothing and isinstance(answer, str) else answer
        after = replace(case, answers={**case.answers, question.id: given})
        share = min(spoilt / chance, 1.0) if chance > 0 else 0.0
        cost += chance * min(route_costs_pence(case.costs, share, settled_share(model, after)).values())
    return cost


def _answer_chances(model: Model, case: Case, question: Question, signs: Floats, both: Floats) -> Floats | None:
    if question.is_story:
        return _story_chances(model, case, question, both)
    if question.kind == NUMBER:
        return _strobe_chances(model, case, question, both)
    if question.id == REV_OUT:
        heard = heard_of(model, case)
        without = rev_out_chances(model, None, heard)
        rows = [rev_out_chances(model, answer, heard) / without for answer in question.answer_ids]
        return np.array(rows) @ both
    first = model.row[question.id, question.answer_ids[0]]
    return signs[first : first + len(question.answer_ids)]


def _story_chances(model: Model, case: Case, question: Question, both: Floats) -> Floats:
    story = story_of(model, case)
    now = log_prior(model, case.machine, case.booked, story)
    rows = [
        np.exp(log_prior(model, case.machine, case.booked, {**story, question.id: (answer,)}) - now)
        for answer in question.answer_ids
    ]
    return np.array(rows) @ both


def _strobe_chances(model: Model, case: Case, question: Question, both: Floats) -> Floats | None:
    """Readings tried on a grid; their densities, made to add up to 1 for every set, stand for their chances."""
    readings = {IDLE: case.number(IDLE), PEAK: case.number(PEAK)}
    spec = case.machine.spec_btdc if case.machine.spec_btdc is not None else UNKNOWN_SPEC_DEG
    now = log_strobe(model, case.machine, readings[IDLE], readings[PEAK])
    rows = [
        log_strobe(model, case.machine, **{_WORD[q]: v for q, v in {**readings, question.id: spec + off}.items()})
        for off in STROBE_GRID_DEG
    ]
    if any(row is None for row in rows):
        return None
    density = np.exp(np.array(rows) - (0.0 if now is None else now))
    return np.asarray((density / density.sum(axis=0)) @ both)


_WORD = {IDLE: "idle", PEAK: "peak"}
