"""Every figure of What we learned as a value, counted from all the visits; kept_figures makes the same of kept sums."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from diagnostics.core.bank.bank import Bank
from diagnostics.core.findings import Costs
from diagnostics.core.learning.balance import Balance, RouteOutcome, balance, route_outcomes
from diagnostics.core.learning.calibration import Bin, bins
from diagnostics.core.learning.closed_visits import ClosedVisit, is_known, scored
from diagnostics.core.learning.question_worth import QuestionWorth, question_worths
from diagnostics.core.learning.scores import SUBJECTS, Scored, predictions, scores
from diagnostics.core.learning.surprises import AnswerSeen, FaultSeen, answers_seen, faults_seen


@dataclass(frozen=True)
class Figures:
    """bands: by subject. several_cards: those counted for more than one cause."""

    closed: int
    scored: int
    several_cards: int
    bands: Mapping[str, tuple[Bin, ...]]
    scores: tuple[Scored, ...]
    routes: tuple[RouteOutcome, ...]
    balance: Balance
    questions: tuple[QuestionWorth, ...]
    faults: tuple[FaultSeen, ...]
    answers: tuple[AnswerSeen, ...]


def counted_anew(bank: Bank, visits: Sequence[ClosedVisit], costs: Costs) -> Figures:
    """From every closed visit, one by one. costs: the shop's own, in pence."""
    return Figures(
        closed=len(visits),
        scored=len(scored(bank, visits)),
        several_cards=sum(len(visit.causes) > 1 and is_known(bank, visit) for visit in visits),
        bands={subject: bins(predictions(bank, visits, subject)) for subject in SUBJECTS},
        scores=scores(bank, visits),
        routes=route_outcomes(bank, visits),
        balance=balance(bank, visits, costs),
        questions=question_worths(bank, visits),
        faults=faults_seen(bank, visits),
        answers=answers_seen(bank, visits),
    )
