"""Where the bank is surprised: faults and answers that come much oftener or rarer than it says.

Faults are held against the chances stated before the machines came. Answers are held against the bank's own links,
given what the machine turned out to have: answers hang together only through the faults, so that which questions were
asked, and after which answers, makes no difference to what is expected of each.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from diagnostics.core.arrays import Float64s
from diagnostics.core.bank.bank import NUMBER, Bank, Question
from diagnostics.core.judging.inference import Model, model_of
from diagnostics.core.learning.calibration import TOO_FEW, Z_95, wilson
from diagnostics.core.learning.closed_visits import ClosedVisit, Judged, scored

Z_99 = (
    2.5758293035489004  # standard normal, two-sided 99 %: some sixty answers are looked at, and only few may be chance
)


@dataclass(frozen=True)
class Seen:
    """predicted: mean chance over `many` cases; came: in how many; low, high: interval of the share that came."""

    many: int
    came: int
    predicted: float
    low: float
    high: float

    @property
    def share(self) -> float:
        return self.came / self.many

    @property
    def is_too_few(self) -> bool:
        return self.many < TOO_FEW

    @property
    def is_oftener(self) -> bool:
        return not self.is_too_few and self.predicted < self.low

    @property
    def is_rarer(self) -> bool:
        return not self.is_too_few and self.predicted > self.high

    @property
    def is_surprise(self) -> bool:
        return self.is_oftener or self.is_rarer


@dataclass(frozen=True)
class FaultSeen:
    fault: str
    seen: Seen


@dataclass(frozen=True)
class AnswerSeen:
    """many: times the question had a plain answer, on visits whose causes are known."""

    question: str
    answer: str
    seen: Seen


def faults_seen(bank: Bank, visits: Sequence[ClosedVisit]) -> tuple[FaultSeen, ...]:
    """Every fault of the bank in its order, of the scored judgements that knew it; intervals of 95 %."""
    held = scored(bank, visits)
    found = []
    for fault in bank.fault_ids:
        stated = [(judged.chances[fault], fault in visit.causes) for visit, judged in held if fault in judged.chances]
        if stated:
            found.append(FaultSeen(fault, _seen(stated, Z_95)))
    return tuple(found)


def answers_seen(bank: Bank, visits: Sequence[ClosedVisit]) -> tuple[AnswerSeen, ...]:
    """Every answer that was given or could have been, in the bank's order; intervals of 99 %.

    Questions about the machine's story and readings are left out, and visits with more faults than the bank allows.
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
            stated = [(float(chance[row]), given == answer) for row, given in answered]
            found.append(AnswerSeen(question.id, answer, _seen(stated, Z_99)))
    return tuple(found)


def set_of(model: Model, causes: frozenset[str]) -> int:
    """The row of the model that holds exactly these faults. Raises IndexError where it allows no such set."""
    wanted: Float64s = np.array([float(fault in causes) for fault in model.bank.fault_ids])
    return int(np.flatnonzero((model.has == wanted).all(axis=1))[0])


def _says(judged: Judged, question: Question) -> bool:
    return judged.answers.get(question.id) in question.answer_ids


def _seen(stated: Sequence[tuple[float, bool]], z: float) -> Seen:
    came = sum(did for _, did in stated)
    predicted = sum(chance for chance, _ in stated) / len(stated)
    return Seen(len(stated), came, predicted, *wilson(came, len(stated), z))
