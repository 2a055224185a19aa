"""Which questions earn their keep: how much worse the judgements would have been without each answer.

Computed from the judgements as they were made, without judging again. For each answer, `because` holds the group whose
log odds it moves most, and how much leaving it out would undo. So the chance of that group without the answer follows
from the chance predicted with it, and with that what the answer took off the log loss. An answer that moves no group
by 0.1 is in no `because` and counts for nothing.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from diagnostics.core.bank.bank import Bank
from diagnostics.core.findings import UNSURE
from diagnostics.core.learning.calibration import SURE, TOO_FEW, mean_interval
from diagnostics.core.learning.closed_visits import ClosedVisit, Judged, has_group, scored


@dataclass(frozen=True)
class QuestionWorth:
    """asked: scored judgements with an answer to it; unsure: how many of those were unsure; moved: were in `because`.

    weight: mean size of its weights where it moved, natural log of an odds ratio. gain: mean log loss taken off, over
    every time asked; low, high: its 95 % interval.
    """

    question: str
    asked: int
    unsure: int
    moved: int
    weight: float
    gain: float
    low: float
    high: float

    @property
    def is_too_few(self) -> bool:
        return self.asked < TOO_FEW

    @property
    def earns(self) -> bool:
        return not self.is_too_few and self.low > 0

    @property
    def misleads(self) -> bool:
        return not self.is_too_few and self.high < 0


@dataclass(frozen=True)
class AnswerWorth:
    """One answer of one scored judgement. weight: size of its weights; None if it moved no group."""

    question: str
    is_unsure: bool
    weight: float | None
    gain: float


def answer_worths(bank: Bank, visit: ClosedVisit, judged: Judged) -> Iterator[AnswerWorth]:
    """In the bank's order; questions not asked are left out."""
    for question in bank.questions:
        if question.id not in judged.answers:
            continue
        reasons = [reason for reason in judged.because if question_of(reason.answer) == question.id]
        yield AnswerWorth(
            question=question.id,
            is_unsure=judged.answers[question.id] in (UNSURE, [UNSURE]),
            weight=sum(abs(reason.weight) for reason in reasons) if reasons else None,
            gain=sum(gain(judged.groups[r.towards], r.weight, has_group(bank, visit, r.towards)) for r in reasons),
        )


def question_worths(bank: Bank, visits: Sequence[ClosedVisit]) -> tuple[QuestionWorth, ...]:
    """Most useful first, those asked too seldom last; questions never asked are left out."""
    asked: dict[str, list[AnswerWorth]] = {question.id: [] for question in bank.questions}
    for visit, judged in scored(bank, visits):
        for one in answer_worths(bank, visit, judged):
            asked[one.question].append(one)
    found = []
    for question, held in asked.items():
        if held:
            weights, unsure = [one.weight for one in held if one.weight is not None], sum(o.is_unsure for o in held)
            weight = sum(weights) / len(weights) if weights else 0.0
            interval = mean_interval([one.gain for one in held])
            found.append(QuestionWorth(question, len(held), unsure, len(weights), weight, *interval))
    return most_useful_first(found)


def most_useful_first(found: Iterable[QuestionWorth]) -> tuple[QuestionWorth, ...]:
    return tuple(sorted(found, key=lambda one: (one.is_too_few, -one.gain)))


def question_of(finding: str) -> str:
    """The question of "id=value". For the rev-out together with its clip, which are one entry, it is the rev-out.

    >>> question_of("rev_out=ceiling+heard=breaks-down")
    'rev_out'
    """
    return finding.partition("=")[0]


def gain(chance: float, weight: float, observed: bool) -> float:
    """What an answer took off the log loss of one prediction; below 0 if it pointed the wrong way.

    chance: predicted with the answer, 0 to 1. weight: natural log of the odds ratio that leaving it out would undo.
    Source: definition of the log loss, with the chance of the log odds less the weight.

    >>> round(gain(0.8, math.log(4), observed=True), 6) == round(math.log(0.8 / 0.5), 6)
    True
    """
    kept = min(max(chance, SURE), 1 - SURE)
    log_odds = math.log(kept / (1 - kept))
    side = 1 if observed else -1
    return _log_loss(side * (log_odds - weight)) - _log_loss(side * log_odds)


def _log_loss(log_odds_of_outcome: float) -> float:
    """ln(1 + e^(−x)), without overflow."""
    return max(-log_odds_of_outcome, 0.0) + math.log1p(math.exp(-abs(log_odds_of_outcome)))
