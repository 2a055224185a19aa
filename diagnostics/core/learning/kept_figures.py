"""The figures of What we learned from what closed visits add up to: as figures.counted_anew, without the visits."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping
from fractions import Fraction
from itertools import pairwise

from diagnostics.core.bank.bank import NOTHING_WRONG, Bank
from diagnostics.core.findings import Costs
from diagnostics.core.learning.balance import ROUTES, Balance, RouteOutcome, Sum, pence_each
from diagnostics.core.learning.calibration import EDGES, Z_95, Bin, Score, Seen, wilson
from diagnostics.core.learning.counts import Counts, counts_of
from diagnostics.core.learning.figures import Figures
from diagnostics.core.learning.question_worth import QuestionWorth, most_useful_first
from diagnostics.core.learning.scores import SUBJECTS, Scored
from diagnostics.core.learning.sums import ONE, log_whole, read_story
from diagnostics.core.learning.surprises import Z_99, AnswerSeen, FaultSeen


def figures_of(bank: Bank, sums: Mapping[str, int], costs: Costs) -> Figures:
    """costs: the shop's own, in pence."""
    kept = Counter(sums)
    bands = {subject: _bands(kept, subject) for subject in SUBJECTS}
    return Figures(
        closed=kept["closed"],
        scored=kept["scored"],
        several_cards=kept["several"],
        bands=bands,
        scores=tuple(_scored(kept, one, bands[one]) for one in SUBJECTS if kept[f"subject/{one}/many"]),
        routes=_routes(kept),
        balance=_balance(kept, costs),
        questions=_questions(bank, kept),
        faults=tuple(
            FaultSeen(fault, seen) for fault in bank.fault_ids if (seen := _seen(kept, f"fault/{fault}", Z_95))
        ),
        answers=tuple(
            AnswerSeen(question.id, answer, seen)
            for question in bank.questions
            for answer in question.answer_ids
            if (seen := _seen(kept, f"answer/{question.id}/{answer}", Z_99))
        ),
    )


def counts_from(bank: Bank, sums: Mapping[str, int]) -> Counts:
    """As counts.count, bit by bit."""
    kept = Counter(sums)
    times = {fault: kept[f"times/{fault}"] for fault in (NOTHING_WRONG, *bank.fault_ids)}
    stories = {
        read_story(name.removeprefix("story/")): many for name, many in sums.items() if name.startswith("story/")
    }
    return counts_of(bank, times, stories, kept["learned"], kept["not_learned"])


def _real(total: int, many: int = 1) -> float:
    """The mean of what was added up in 2^-60ths."""
    return float(Fraction(total, ONE * many))


def _seen(kept: Counter[str], of: str, z: float) -> Seen | None:
    many, observed = kept[f"{of}/many"], kept[f"{of}/observed"]
    return Seen(many, observed, _real(kept[f"{of}/chance"], many), *wilson(observed, many, z)) if many else None


def _bands(kept: Counter[str], subject: str) -> tuple[Bin, ...]:
    return tuple(
        Bin(**vars(seen), lowest=lowest, highest=highest)
        for index, (lowest, highest) in enumerate(pairwise(EDGES))
        if (seen := _seen(kept, f"subject/{subject}/band/{index}", Z_95))
    )


def _scored(kept: Counter[str], subject: str, bands: tuple[Bin, ...]) -> Scored:
    of = f"subject/{subject}"
    many, observed = kept[f"{of}/many"], kept[f"{of}/observed"]
    missed, log, log_observed = many - observed, kept[f"{of}/log"], kept[f"{of}/log_observed"]
    base = observed / many
    hit, miss = log_whole(base), log_whole(1 - base)  # what the base rate alone gets for each, log loss below 0
    figures = Score(
        many=many,
        observed=observed,
        brier=_real(kept[f"{of}/brier"], many),
        base_brier=base * (1 - base),
        log_loss=_real(-log, many),
        base_log_loss=_real(-hit * observed - miss * missed, many),
        calibration_error=sum(one.many * abs(one.share - one.predicted) for one in bands) / many,
    )
    squares = (
        kept[f"{of}/log_square"]
        - 2 * hit * log_observed
        - 2 * miss * (log - log_observed)
        + hit * hit * observed
        + miss * miss * missed
    )
    return Scored(subject, figures, *_interval(many, log - hit * observed - miss * missed, squares))


def _interval(many: int, total: int, squares: int) -> tuple[float, float, float]:
    """As calibration.mean_interval. total: in 2^-60ths; squares: the sum of their squares."""
    mean = _real(total, many)
    if many < 2:
        return mean, -math.inf, math.inf
    spread = Fraction(squares * many - total * total, many * (many - 1) * ONE * ONE)
    half = Z_95 * math.sqrt(spread / many)
    return mean, mean - half, mean + half


def _routes(kept: Counter[str]) -> tuple[RouteOutcome, ...]:
    found = []
    for route in ROUTES:
        many, spoilt = kept[f"route/{route}/many"], kept[f"route/{route}/spoilt"]
        if many:
            found.append(RouteOutcome(route, many, spoilt, *wilson(spoilt, many)))
    return tuple(found)


def _balance(kept: Counter[str], costs: Costs) -> Balance:
    sums = {}
    for part, pence in pence_each(costs).items():
        many = kept[f"balance/{part}/many"]
        sums[part] = Sum(many, kept[f"balance/{part}/minutes"], pence * many)
    return Balance(**sums, visits=kept["known"], left_out=kept["rollers"] - kept["known"])


def _questions(bank: Bank, kept: Counter[str]) -> tuple[QuestionWorth, ...]:
    found = []
    for question in bank.questions:
        of = f"question/{question.id}"
        asked, moved = kept[f"{of}/asked"], kept[f"{of}/moved"]
        if asked:
            weight = _real(kept[f"{of}/weight"], moved) if moved else 0.0
            interval = _interval(asked, kept[f"{of}/gain"], kept[f"{of}/gain_square"])
            found.append(QuestionWorth(question.id, asked, kept[f"{of}/unsure"], moved, weight, *interval))
    return most_useful_first(found)
