"""The page "What we learned"."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from diagnostics.core.bank.bank import Bank
from diagnostics.core.findings import Costs
from diagnostics.core.learning import learned_words
from diagnostics.core.learning.balance import Balance, RouteOutcome
from diagnostics.core.learning.calibration import TOO_FEW, Bin
from diagnostics.core.learning.closed_visits import why_not
from diagnostics.core.learning.figures import Figures, counted_anew
from diagnostics.core.learning.kept_figures import figures_of
from diagnostics.core.learning.question_worth import QuestionWorth
from diagnostics.core.learning.scores import SUBJECTS, AllGroups, Scored, over_all_groups
from diagnostics.core.learning.surprises import AnswerSeen, FaultSeen
from diagnostics.core.telling.judgement_words import GROUP_WORDS
from diagnostics.models.learning import Learned
from diagnostics.reads.bank import the_bank
from diagnostics.reads.case import costs_of
from diagnostics.reads.closed_visits import closed_visits
from diagnostics.reads.learned_sums import kept_sums, not_learned_cards, whys_not_learned
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
    bank, counts, costs = the_bank(), counts_now(), Costs(**costs_of(shop))
    figures, not_learned = _figures(costs)
    return LearnedPage(
        closed=figures.closed,
        scored=figures.scored,
        subject=subject,
        bands=figures.bands[subject],
        scores=figures.scores,
        all_groups=over_all_groups(figures.scores),
        routes=figures.routes,
        balance=figures.balance,
        costs=costs,
        questions=tuple(QuestionLine(bank.question(w.question).ask, w) for w in figures.questions),
        faults=_fault_lines(bank, figures, counts),
        answers=_answer_lines(bank, figures),
        counts=counts,
        nothing_cards=counts.times["nothing-wrong"] if counts else 0,
        several_cards=figures.several_cards,
        equivalent_cards=round(bank.equivalent_cards),
        not_learned=not_learned,
    )


def bands_of(subject: str, shop: Shop) -> tuple[Bin, ...]:
    figures, _ = _figures(Costs(**costs_of(shop)))
    return figures.bands[subject]


def fault_lines(shop: Shop) -> tuple[FaultLine, ...]:
    figures, _ = _figures(Costs(**costs_of(shop)))
    return _fault_lines(the_bank(), figures, counts_now())


def _figures(costs: Costs) -> tuple[Figures, NotLearned]:
    """From the kept sums; in the seconds after an upgrade, before they are there, from every visit."""
    sums = kept_sums()
    if sums is not None:
        cards = not_learned_cards(NOT_LEARNED_SHOWN)
        return figures_of(the_bank(), sums, costs), _not_learned(cards, whys_not_learned())
    visits = closed_visits()
    left_out = [(visit.number, why) for visit in reversed(visits) if (why := why_not(the_bank(), visit))]
    named = [(number, why) for number, why in left_out if number is not None][:NOT_LEARNED_SHOWN]
    return counted_anew(the_bank(), visits, costs), _not_learned(named, Counter(why for _, why in left_out))


def _fault_lines(bank: Bank, figures: Figures, counts: Learned | None) -> tuple[FaultLine, ...]:
    seen = {one.fault: one for one in figures.faults}
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


def _answer_lines(bank: Bank, figures: Figures) -> tuple[AnswerLine, ...]:
    lines = []
    for one in figures.answers:
        question = bank.question(one.question)
        lines.append(AnswerLine(question.ask, question.say(one.answer), one))
    return tuple(lines)


def _not_learned(cards: Sequence[tuple[int, str]], whys: Counter[str]) -> NotLearned:
    """whys: in the order of the newest card of each."""
    return NotLearned(tuple(cards), tuple(whys.most_common()), whys.total() - len(cards))
