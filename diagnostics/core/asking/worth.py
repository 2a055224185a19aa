"""What an answer is worth in pence: the expected value of information over the three cost routes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import lru_cache

import numpy as np

from diagnostics.core.arrays import Float64s
from diagnostics.core.bank.bank import NUMBER, Question
from diagnostics.core.findings import Answer, Case, MachineFacts
from diagnostics.core.judging.cells import Sums
from diagnostics.core.judging.evidence import IDLE, PEAK, REV_OUT, Evidence, heard_of, rev_out_chances, story_of
from diagnostics.core.judging.heard_chances import GETS_THERE
from diagnostics.core.judging.inference import Model, story_chances, story_weight
from diagnostics.core.judging.judgement import AskNext, Stopped
from diagnostics.core.judging.routing import (
    Route,
    cheapest_pence,
    route_costs_pence,
    settled_share,
    spoils_mask,
    unsettling_questions,
)
from diagnostics.core.judging.strobe_chances import (
    combinations_of,
    eases_back_chances,
    log_strobe_by_combination,
    log_strobe_each,
)
from diagnostics.core.rev_out_safety import is_too_hard_to_ask_for
from garage.core.routes import PHONE_FIRST

FOR_SAFETY = ("changed", "nipped", "pinking")  # the check sheet asks these first, whatever they are worth
WORTH_DECIMALS = 6  # questions that change nothing all lose their cost: the last digits must not choose between them
STROBE_GRID_DEG = np.arange(-14.0, 14.1, 2.0)  # offsets from spec tried to find what a strobe reading is worth
EASES_BACK_FAR_DEG = 2.0  # more than wear, lamp and eye explain; common practice, no source
CURVE, OILING = "spec_curve", "oiling"
UNKNOWN_SPEC_DEG = 18.0  # readings are tried around here if the spec is unknown; then only their drift counts


def applies(question: Question, machine: MachineFacts, answers: Mapping[str, Answer]) -> bool:
    """Whether the question applies to such a machine after these answers.

    An automatic has no neutral and no gears to compare, so its rev-out is for the workshop. A machine that has nipped
    up or rattles is never asked to go to full throttle.
    """
    if question.not_on and question.not_on & machine.traits:
        return False
    if question.of_machine and getattr(machine, question.of_machine) is not None:
        return False  # the machine knows it already
    if question.needs and any(needed not in answers for needed in question.needs):
        return False
    barring = question.not_when
    return not (barring and any(answers.get(other) in bars for other, bars in barring.items()))


def ask_next(evidence: Evidence, sums: Sums, route: Route) -> AskNext | None:
    """The open question worth most, or None if none is worth asking; always None on a bench visit or if a rule stops
    the machine. A machine that is rung about has a question as long as one is open.
    """
    if evidence.case.booked == "bench" or isinstance(route.why, Stopped):
        return None
    fitted = which_ignition(evidence)
    if fitted is not None:
        return AskNext(fitted.id, _worth_each(evidence, sums, route.settled_share, [fitted])[fitted.id])
    best = worth_most(evidence, sums, route.settled_share)
    return best if best is not None or route.route != PHONE_FIRST else _least_loss(evidence, sums, route.settled_share)


def which_ignition(evidence: Evidence) -> Question | None:
    """The question which ignition is fitted, where it comes before all others: the reading eases back far, the curve is
    not stated, and the engine revs out. Many units do that by design, and nothing is stripped before that is known.
    """
    case = evidence.case
    idle, peak = case.number(IDLE), case.number(PEAK)
    if idle is None or peak is None or case.machine.spec_curve is not None:
        return None
    if idle - peak <= EASES_BACK_FAR_DEG or case.answers.get(REV_OUT) not in GETS_THERE:
        return None
    return next((question for question in _open_questions(evidence) if question.of_machine == CURVE), None)


def worth_most(evidence: Evidence, sums: Sums, settled: float) -> AskNext | None:
    """The open question worth most, if any is worth asking. sums: for the evidence's weights; settled: share of calls
    that settle the matter.

    The expected value of information is the cost of the cheapest route now, less its mean cost once the answer is
    known, less the cost of asking. It covers the three cost routes as if there were no plain case (see the manual of
    `assess`). No answer can save more than the cheapest route costs now, so dearer questions are skipped.
    """
    now = _pence_now(evidence, sums, settled)
    worth = _worth_each(evidence, sums, settled, [q for q in _open_questions(evidence) if q.cost_pence < now])
    best = max(worth, key=lambda question: worth[question], default=None)
    return AskNext(best, worth[best]) if best is not None and worth[best] > 0 else None


def _least_loss(evidence: Evidence, sums: Sums, settled: float) -> AskNext | None:
    """The open question that loses least, where none is worth asking. Those of safety come last: they are the check
    sheet's own first questions; and after them how it is oiled, which tells nothing of a fault.
    """
    questions = _open_questions(evidence)
    worth = {question.id: -question.cost_pence for question in questions}
    exact = _worth_each(evidence, sums, settled, questions)
    worth |= {question: round(pence, WORTH_DECIMALS) for question, pence in exact.items()}
    best = max(worth, key=lambda q: (q != OILING, q not in FOR_SAFETY, worth[q]), default=None)
    return None if best is None else AskNext(best, worth[best])


def _open_questions(evidence: Evidence) -> list[Question]:
    return [question for question in evidence.model.bank.questions if is_open(question, evidence.case)]


def _pence_now(evidence: Evidence, sums: Sums, settled: float) -> float:
    case = evidence.case
    return min(route_costs_pence(case.costs, sums.spoilt_chance(case.booked), settled).values())


def _worth_each(evidence: Evidence, sums: Sums, settled: float, questions: Sequence[Question]) -> dict[str, float]:
    """Pence by question; none for a question whose answer carries no weight."""
    model, case = evidence.model, evidence.case
    found = [(q, _answer_chances(evidence, sums, q)) for q in questions]
    asked = [(q, chances) for q, chances in found if chances is not None]
    if not asked:
        return {}
    now = _pence_now(evidence, sums, settled)
    chances = np.concatenate([rows for _, rows in asked])
    starts = np.cumsum([0] + [len(rows) for _, rows in asked[:-1]])
    after = _settled_after_each(model, case, asked, settled)
    pence = np.add.reduceat(cheapest_pence(case.costs, after, chances[:, 0], chances[:, 1]), starts)
    return {q.id: now - after_it - q.cost_pence for (q, _), after_it in zip(asked, pence.tolist(), strict=True)}


def is_open(question: Question, case: Case) -> bool:
    """Whether it has not been asked yet and applies."""
    is_asked = question.id in case.answers or question.id in case.unsure
    return (
        not is_asked and applies(question, case.machine, case.answers) and not is_too_hard_to_ask_for(question.id, case)
    )


def _settled_after_each(
    model: Model, case: Case, asked: Sequence[tuple[Question, Float64s]], settled: float
) -> Float64s:
    """The share of calls that settle the matter, after each answer to each question in turn."""
    unsettling = unsettling_questions(model, case)
    return np.concatenate(
        [
            _settled_after(model, case, question) if question.id in unsettling else np.full(len(rows), settled)
            for question, rows in asked
        ]
    )


def _settled_after(model: Model, case: Case, question: Question) -> Float64s:
    """(answers,) the share of calls that settle the matter after each answer."""
    given: list[Answer] = [(answer,) if question.nothing else answer for answer in question.answer_ids]
    cases = [replace(case, answers={**case.answers, question.id: answer}) for answer in given]
    return np.array([settled_share(model, after) for after in cases])


def _answer_chances(evidence: Evidence, sums: Sums, question: Question) -> Float64s | None:
    """(answers, 2): the chance of each answer, and of that answer with a spoilt visit; None if no answer has weight."""
    model, case = evidence.model, evidence.case
    if question.kind == NUMBER:
        rows = _strobe_by_combination(model, case.machine, question.id, case.number(IDLE), case.number(PEAK))
        return None if rows is None else rows @ sums.with_combinations(case.booked)
    if question.is_story:
        traits = case.machine.traits | {case.booked}
        return story_chances(model, traits, story_of(model, case), question.id, _both(evidence))
    if question.id == REV_OUT and case.heard is not None:
        rows = answer_rows(model, case, question)
        return None if rows is None else np.asarray(rows @ _both(evidence).T)
    if not question.background:
        rows = _curve_rows(model, case, question)
        return None if rows is None else rows @ sums.with_combinations(case.booked)
    first = model.row[question.id, question.answer_ids[0]]
    return sums.with_answers(case.booked)[first : first + len(question.answers)]


def _both(evidence: Evidence) -> Float64s:
    """(2, sets): the chance of each set, and the same for those that spoil the visit, else 0."""
    weight = evidence.weight()
    return np.array([weight, weight * spoils_mask(evidence.model, evidence.case.booked)])


def answer_rows(model: Model, case: Case, question: Question) -> Float64s | None:
    """(answers, sets) chance of each answer given each set and the rest of the case; None if no answer has weight."""
    if question.is_story:
        return _story_rows(model, case, question)
    if question.kind == NUMBER:
        return _strobe_rows(model, case, question)
    if question.id == REV_OUT:
        heard = heard_of(model, case)
        without = rev_out_chances(model, None, heard)
        return np.array([rev_out_chances(model, answer, heard) / without for answer in question.answer_ids])
    if not question.background:
        rows = _curve_rows(model, case, question)
        return None if rows is None else rows.take(combinations_of(model), axis=1)
    first = model.row[question.id, question.answer_ids[0]]
    return model.chance[first : first + len(question.answer_ids)]


def _story_rows(model: Model, case: Case, question: Question) -> Float64s:
    story, traits = story_of(model, case), case.machine.traits | {case.booked}
    weights = [story_weight(model, traits, {**story, question.id: (answer,)}) for answer in question.answer_ids]
    return np.asarray(np.array(weights) / story_weight(model, traits, story))


def _strobe_rows(model: Model, case: Case, question: Question) -> Float64s | None:
    rows = _strobe_by_combination(model, case.machine, question.id, case.number(IDLE), case.number(PEAK))
    return None if rows is None else rows.take(combinations_of(model), axis=1)


def _curve_rows(model: Model, case: Case, question: Question) -> Float64s | None:
    """(answers, combinations) chance of each answer to which ignition is fitted, given the readings; None if they tell
    nothing of it, or if the question is another."""
    idle, peak = case.number(IDLE), case.number(PEAK)
    if question.of_machine != CURVE or idle is None or peak is None:
        return None
    eases_back = eases_back_chances(model, case.machine, idle, peak)
    known = {"fixed": 1.0 - eases_back, "retarding": eases_back}
    return np.array([known.get(answer, np.zeros_like(eases_back)) for answer in question.answer_ids])


@lru_cache(maxsize=256)
def _strobe_by_combination(
    model: Model, machine: MachineFacts, question: str, idle: float | None, peak: float | None
) -> Float64s | None:
    """(readings, combinations of the faults that move the timing): readings tried on a grid, with their densities
    normalised to chances. Cached, because most machines of a kind have no reading yet."""
    spec = machine.spec_btdc if machine.spec_btdc is not None else UNKNOWN_SPEC_DEG
    grid = (spec + STROBE_GRID_DEG).tolist()
    rows = log_strobe_each(model, machine, [(one, peak) if question == IDLE else (idle, one) for one in grid])
    if rows is None:
        return None
    now = log_strobe_by_combination(model, machine, idle, peak)
    density = np.exp(rows - (0.0 if now is None else now))
    return np.asarray(density / density.sum(axis=0))
