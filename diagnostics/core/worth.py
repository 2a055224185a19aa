"""What an answer is worth in pence: expected value of information over the three cost routes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from diagnostics.core.bank import NUMBER, Question
from diagnostics.core.evidence import IDLE, PEAK, REV_OUT, Evidence, heard_of, rev_out_chances, story_of
from diagnostics.core.findings import Answer, Case, Machine
from diagnostics.core.inference import Floats, Model, story_chances, story_weight
from diagnostics.core.routing import cheapest_pence, settled_share, spoils_mask, unsettling_questions
from diagnostics.core.stop_rules import fired_rules
from diagnostics.core.strobe_chances import combinations_of, log_strobe_each

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
    if question.not_on and question.not_on & machine.traits:
        return False
    return not any(answers.get(other) in barring for other, barring in question.not_when.items())


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
    settled = settled_share(model, case)
    both = _both(model, case, evidence)
    now = float(cheapest_pence(case.costs, settled, *both.sum(axis=1)))
    open_questions = [q for q in model.bank.questions if q.cost_pence < now and is_open(q, case)]
    if not open_questions:
        return None
    signs = _sign_chances(model, open_questions, both)
    asked = [(q, rows) for q in open_questions if (rows := _answer_chances(model, case, q, signs, both)) is not None]
    if not asked:
        return None
    chances = np.vstack([rows for _, rows in asked])
    starts = np.cumsum([0] + [len(rows) for _, rows in asked[:-1]])
    after = _settled_after_each(model, case, asked, settled)
    pence = np.add.reduceat(cheapest_pence(case.costs, after, chances[:, 0], chances[:, 1]), starts)
    worth = [now - after_it - q.cost_pence for (q, _), after_it in zip(asked, pence.tolist(), strict=True)]
    best = max(range(len(worth)), key=lambda place: worth[place])
    return AskNext(asked[best][0].id, worth[best]) if worth[best] > 0 else None


def _both(model: Model, case: Case, evidence: Evidence) -> Floats:
    """(2, sets): the chance of each set, and that again where it spoils the visit."""
    weight = evidence.weight()
    both = np.empty((2, len(weight)))
    both[0] = weight
    np.multiply(weight, spoils_mask(model, case.booked), out=both[1])
    return both


def _sign_chances(model: Model, questions: Sequence[Question], both: Floats) -> Mapping[str, Floats]:
    """Question to (answers, 2): chance of each answer, and with it that the visit is spoilt; for those that are signs.

    One product from the first row of the table that is needed to the last.
    """
    rows = {q.id: slice(row, row + len(q.answers)) for q in questions if (row := _first_row(model, q)) is not None}
    if not rows:
        return {}
    begin, end = min(row.start for row in rows.values()), max(row.stop for row in rows.values())
    chances = model.chance[begin:end] @ both.T
    return {question: chances[row.start - begin : row.stop - begin] for question, row in rows.items()}


def _first_row(model: Model, question: Question) -> int | None:
    return model.row.get((question.id, question.answer_ids[0])) if question.answers else None


def is_open(question: Question, case: Case) -> bool:
    """Whether it was not asked yet and can be."""
    is_asked = question.id in case.answers or question.id in case.unsure
    return not is_asked and applies(question, case.machine, case.answers)


def _settled_after_each(model: Model, case: Case, asked: Sequence[tuple[Question, Floats]], settled: float) -> Floats:
    """The share of calls that settle it after each answer of each question asked, one after the other."""
    unsettling = unsettling_questions(model, case)
    return np.concatenate(
        [
            _settled_after(model, case, question) if question.id in unsettling else np.full(len(rows), settled)
            for question, rows in asked
        ]
    )


def _settled_after(model: Model, case: Case, question: Question) -> Floats:
    """(answers,) the share of calls that settle it after each answer."""
    given: list[Answer] = [(answer,) if question.nothing else answer for answer in question.answer_ids]
    cases = [replace(case, answers={**case.answers, question.id: answer}) for answer in given]
    return np.array([settled_share(model, after) for after in cases])


def _answer_chances(
    model: Model, case: Case, question: Question, signs: Mapping[str, Floats], both: Floats
) -> Floats | None:
    """(answers, 2): chance of each answer, and with it that the visit is spoilt; None where none weighs."""
    if question.id in signs and not (question.id == REV_OUT and case.heard is not None):
        return signs[question.id]
    if question.kind == NUMBER:
        rows = _strobe_by_combination(model, case, question)
        if rows is None:
            return None
        parts = [np.bincount(combinations_of(model), part, rows.shape[1]) for part in both]
        return np.asarray(rows @ np.array(parts).T)
    if question.is_story:
        return story_chances(model, case.machine.traits | {case.booked}, story_of(model, case), question.id, both)
    rows = answer_rows(model, case, question)
    return None if rows is None else np.asarray(rows @ both.T)


def answer_rows(model: Model, case: Case, question: Question) -> Floats | None:
    """(answers, sets) chance of each answer given each set and the rest of the case; None where none weighs."""
    if question.is_story:
        return _story_rows(model, case, question)
    if question.kind == NUMBER:
        return _strobe_rows(model, case, question)
    if question.id == REV_OUT:
        heard = heard_of(model, case)
        without = rev_out_chances(model, None, heard)
        return np.array([rev_out_chances(model, answer, heard) / without for answer in question.answer_ids])
    first = model.row[question.id, question.answer_ids[0]]
    return model.chance[first : first + len(question.answer_ids)]


def _story_rows(model: Model, case: Case, question: Question) -> Floats:
    story, traits = story_of(model, case), case.machine.traits | {case.booked}
    told = [story_weight(model, traits, {**story, question.id: (answer,)}) for answer in question.answer_ids]
    return np.asarray(np.array(told) / story_weight(model, traits, story))


def _strobe_rows(model: Model, case: Case, question: Question) -> Floats | None:
    rows = _strobe_by_combination(model, case, question)
    return None if rows is None else rows.take(combinations_of(model), axis=1)


def _strobe_by_combination(model: Model, case: Case, question: Question) -> Floats | None:
    """(readings, combinations of the faults that move the timing): readings tried on a grid; their densities, made to
    add up to 1, stand for their chances."""
    idle, peak = case.number(IDLE), case.number(PEAK)
    spec = case.machine.spec_btdc if case.machine.spec_btdc is not None else UNKNOWN_SPEC_DEG
    grid = (spec + STROBE_GRID_DEG).tolist()
    tried = [(reading, peak) if question.id == IDLE else (idle, reading) for reading in grid]
    rows = log_strobe_each(model, case.machine, tried)
    if rows is None:
        return None
    now = log_strobe_each(model, case.machine, [(idle, peak)])
    density = np.exp(rows - (0.0 if now is None else now))
    return np.asarray(density / density.sum(axis=0))
