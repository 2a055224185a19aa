"""Where the bank was surprised: faults and answers seen much more or less often than it predicts.

Faults are compared with the chances predicted before the machines came in. Answers are compared with the bank's own
links, given what the machine turned out to have. Answers are independent given the faults, so the expected share of
each does not depend on which questions were asked, or in what order.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

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
    model = model_of(bank)
    held = [one for one in scored(bank, visits) if len(one[0].causes) <= bank.most_at_once]
    at = {causes: set_of(model, causes) for causes in {visit.causes for visit, _ in held}}
    found = []
    for question in bank.questions:
        if question.is_story or question.kind == NUMBER:
            continue
        answered = [
            (at[visit.causes], judged.answers[question.id]) for visit, judged in held if _says(judged, question)
        ]
        for answer in question.answer_ids if answered else ():
            chance = model.chance[model.row[question.id, answer]]
            stated = [Predicted(float(chance[row]), given == answer) for row, given in answered]
            found.append(AnswerSeen(question.id, answer, seen_in(stated, Z_99)))
    return tuple(found)


def set_of(model: Model, causes: frozenset[str]) -> int:
    """The model's row for exactly these faults. Raises IndexError if the model allows no such set."""
    wanted: Float64s = np.array([float(fault in causes) for fault in model.bank.fault_ids])
    return int(np.flatnonzero((model.has == wanted).all(axis=1))[0])


def _says(judged: Judged, question: Question) -> bool:
    return judged.answers.get(question.id) in question.answer_ids
