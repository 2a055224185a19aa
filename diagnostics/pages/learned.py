"""The page "What we learned"."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from diagnostics.core.bank.bank import Bank
from diagnostics.core.findings import Costs
from diagnostics.core.learning import learned_words
from diagnostics.core.learning.balance import Balance, RouteOutcome, balance, route_outcomes
from diagnostics.core.learning.calibration import TOO_FEW, Bin, bins
from diagnostics.core.learning.closed_visits import ClosedVisit, scored, why_not
from diagnostics.core.learning.question_worth import QuestionWorth, question_worths
from diagnostics.core.learning.scores import SUBJECTS, AllGroups, Scored, over_all_groups, predictions, scores
from diagnostics.core.learning.surprises import AnswerSeen, FaultSeen, answers_seen, faults_seen
from diagnostics.core.telling.judgement_words import GROUP_WORDS
from diagnostics.models.learning import Learned
from diagnostics.reads.bank import the_bank
from diagnostics.reads.case import costs_of
from diagnostics.reads.closed_visits import closed_visits
from diagnostics.reads.learning import counts_now
from garage.core.money import from_pence
from garage.models.shop import Shop

NOT_LEARNED_SHOWN = 12  # newest cards listed; the others are only counted


@dataclass(frozen=True)
class FaultLine:
    """One fault: cards that named it, its base rate in the bank and ours now, and its chance predicted and observed."""

    name: str
    short: str
    group: str
    cards: int
    bank_chance: float
    own_chance: float
    observed: FaultSeen | None

    @property
    def rates(self) -> tuple[str, str]:
        return learned_words.percent(self.bank_chance), learned_words.percent(self.own_chance)


@dataclass(frozen=True)
class QuestionLine:
    ask: str
    worth: QuestionWorth


@dataclass(frozen=True)
class AnswerLine:
    ask: str
    says: str
    observed: AnswerSeen


@dataclass(frozen=True)
class NotLearned:
    """cards: the newest, each with its reason; whys: every reason with its count."""

    cards: tuple[tuple[int, str], ...]
    whys: tuple[tuple[str, int], ...]
    older: int


@dataclass(frozen=True)
class LearnedPage:
    """subject: whose bands are shown. nothing_cards: cards on which nothing was wrong. several_cards: those counted
    for more than one cause.
    """

    closed: int
    scored: int
    subject: str
    bands: tuple[Bin, ...]
    scores: tuple[Scored, ...]
    all_groups: AllGroups | None
    routes: tuple[RouteOutcome, ...]
    balance: Balance
    costs: Costs
    questions: tuple[QuestionLine, ...]
    faults: tuple[FaultLine, ...]
    answers: tuple[AnswerLine, ...]
    counts: Learned | None
    nothing_cards: int
    several_cards: int
    equivalent_cards: int
    not_learned: NotLearned
    few: int = TOO_FEW

    @property
    def subjects(self) -> list[tuple[str, str]]:
        return [(subject, learned_words.SUBJECT_WORDS[subject]) for subject in SUBJECTS]

    @property
    def subject_words(self) -> str:
        return learned_words.SUBJECT_WORDS[self.subject]

    @property
    def sentences(self) -> tuple[str, ...]:
        """The summary above the tables."""
        first = (
            f"{learned_words.scored_sentence(self.closed, self.scored)} {learned_words.chances_sentence(self.scores)}"
        )
        return first, learned_words.minutes_sentence(self.balance)

    @property
    def is_enough(self) -> bool:
        """Whether there are enough cards for figures on faults and groups."""
        return self.scored >= self.few

    @property
    def bands_alt(self) -> str:
        return learned_words.bands_alt(self.subject, self.bands)

    @property
    def faults_alt(self) -> str:
        return learned_words.faults_alt([(line.short, line.observed.seen) for line in self.faults if line.observed])

    @property
    def net(self) -> Decimal:
        return from_pence(self.balance.net_pence)

    @property
    def surprising_faults(self) -> list[FaultLine]:
        return [line for line in self.faults if line.observed and line.observed.seen.is_surprise]

    @property
    def surprising_answers(self) -> list[AnswerLine]:
        return [line for line in self.answers if line.observed.seen.is_surprise]

    @property
    def answers_looked_at(self) -> int:
        return sum(not line.observed.seen.is_too_few for line in self.answers)


def learned_page(subject: str, shop: Shop) -> LearnedPage:
    """subject: one of SUBJECTS."""
    bank, visits, counts = the_bank(), closed_visits(), counts_now()
    costs = Costs(**costs_of(shop))
    figures = scores(bank, visits)
    return LearnedPage(
        closed=len(visits),
        scored=len(scored(bank, visits)),
        subject=subject,
        bands=bins(predictions(bank, visits, subject)),
        scores=figures,
        all_groups=over_all_groups(figures),
        routes=route_outcomes(bank, visits),
        balance=balance(bank, visits, costs),
        costs=costs,
        questions=tuple(QuestionLine(bank.question(w.question).ask, w) for w in question_worths(bank, visits)),
        faults=_fault_lines(bank, visits, counts),
        answers=_answer_lines(bank, visits),
        counts=counts,
        nothing_cards=counts.times["nothing-wrong"] if counts else 0,
        several_cards=sum(len(visit.causes) > 1 and not why_not(bank, visit) for visit in visits),
        equivalent_cards=round(bank.equivalent_cards),
        not_learned=_not_learned(bank, visits),
    )


def bands_of(subject: str) -> tuple[Bin, ...]:
    return bins(predictions(the_bank(), closed_visits(), subject))


def fault_lines() -> tuple[FaultLine, ...]:
    return _fault_lines(the_bank(), closed_visits(), counts_now())


def _fault_lines(bank: Bank, visits: Sequence[ClosedVisit], counts: Learned | None) -> tuple[FaultLine, ...]:
    seen = {one.fault: one for one in faults_seen(bank, visits)}
    return tuple(
        FaultLine(
            name=fault.say,
            short=learned_words.short_name(fault),
            group=GROUP_WORDS[fault.group],
            cards=counts.times.get(fault.id, 0) if counts else 0,
            bank_chance=fault.chance,
            own_chance=counts.chances.get(fault.id, fault.chance) if counts else fault.chance,
            observed=seen.get(fault.id),
        )
        for fault in bank.faults
    )


def _answer_lines(bank: Bank, visits: Sequence[ClosedVisit]) -> tuple[AnswerLine, ...]:
    lines = []
    for one in answers_seen(bank, visits):
        question = bank.question(one.question)
        lines.append(AnswerLine(question.ask, question.say(one.answer), one))
    return tuple(lines)


def _not_learned(bank: Bank, visits: Sequence[ClosedVisit]) -> NotLearned:
    left_out = [(visit.number, why) for visit in reversed(visits) if (why := why_not(bank, visit))]
    whys = Counter(why for _, why in left_out).most_common()
    shown = [(number, why) for number, why in left_out if number is not None][:NOT_LEARNED_SHOWN]
    return NotLearned(tuple(shown), tuple(whys), len(left_out) - len(shown))
