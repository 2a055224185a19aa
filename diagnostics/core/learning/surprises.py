"""Where the bank was surprised: faults and answers seen much more or less often than it predicts.

Faults are compared with the chances predicted before the machines came in. Answers are compared with the bank's own
links, given what the machine turned out to have. Answers are independent given the faults, so the expected share of
each does not depend on which questions were asked, or in what order.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from diagnostics.core.arrays import Float64s
from diagnostics.core.bank.bank import NUMBER, Bank, Question
from diagnostics.core.judging.inference import Model, model_of
from diagnostics.core.learning.calibration import Predicted, Seen, seen_in
from diagnostics.core.learning.closed_visits import ClosedVisit, Judged, scored

Z_99 = 2.5758293035489004  # standard normal, two-sided 99 %: some sixty answers are tested, few may be chance


@dataclass(frozen=True)
class FaultSeen:
    fault: str
    seen: Seen


@dataclass(frozen=True)
class AnswerSeen:
    """many: how often the question had a plain answer, on visits with known causes."""

    question: str
    answer: str
    seen: Seen


def faults_seen(bank: Bank, visits: Sequence[ClosedVisit]) -> tuple[FaultSeen, ...]:
    """Every fault in the bank's order, from the scored judgements that knew it; 95 % intervals."""
    held = scored(bank, visits)
    found = []
    for fault in bank.fault_ids:
        stated = [
            Predicted(judged.chances[fault], fault in visit.causes) for visit, judged in held if fault in judged.chances
        ]
        if stated:
            found.append(FaultSeen(fault, seen_in(stated)))
    return tuple(found)


def answers_seen(bank: Bank, visits: Sequence[ClosedVisit]) -> tuple[AnswerSeen, ...]:
    """Every answer that was given or could have been, in the bank's order; 99 % intervals.

    Leaves out questions about the machine's story, readings, and visits with more faults than the bank allows.
    """
    answered: dict[tuple[str, str], list[Predicted]] = {}
    for visit, judged in scored(bank, visits):
        for question, answer, stated in stated_answers(bank, visit, judged):
            answered.setdefault((question, answer), []).append(stated)
    return tuple(
        AnswerSeen(question.id, answer, seen_in(answered[question.id, answer], Z_99))
        for question in bank.questions
        for answer in question.answer_ids
        if (question.id, answer) in answered
    )


def stated_answers(bank: Bank, visit: ClosedVisit, judged: Judged) -> Iterator[tuple[str, str, Predicted]]:
    """Question, answer and its chance given what the machine had; each answer of each question answered plainly."""
    if len(visit.causes) > bank.most_at_once:
        return
    model = model_of(bank)
    row = _set_of(model, visit.causes)
    for question in bank.questions:
        if question.is_story or question.kind == NUMBER or not _says(judged, question):
            continue
        for answer in question.answer_ids:
            chance = float(model.chance[model.row[question.id, answer], row])
            yield question.id, answer, Predicted(chance, judged.answers[question.id] == answer)


@lru_cache(maxsize=4096)  # sets: a bank has some thousand
def _set_of(model: Model, causes: frozenset[str]) -> int:
    return set_of(model, causes)


def set_of(model: Model, causes: frozenset[str]) -> int:
    """The model's row for exactly these faults. Raises IndexError if the model allows no such set."""
    wanted: Float64s = np.array([float(fault in causes) for fault in model.bank.fault_ids])
    return int(np.flatnonzero((model.has == wanted).all(axis=1))[0])


def _says(judged: Judged, question: Question) -> bool:
    return judged.answers.get(question.id) in question.answer_ids
