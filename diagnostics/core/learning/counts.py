"""The shop's own counts: the faults' base rates learned from closed cards, recomputed from those cards each time.

The rule: each cause of the bank that a card names counts in full as present, one or several, and every other fault of
the bank counts as absent on that card. Faults are independent in the model, so that is the whole of what a card says
about base rates, and cards with two causes need no weights. A card with a cause in the mechanic's own words is
left out, since the words may mean any fault of the bank, and so is the card of a machine that came back.

The prior of each fault is a beta distribution with the bank's base rate as its mean and the bank's equivalent sample
size. Where machines do not differ, the rate learned is the posterior's own mean, (size × bank's rate + cards with the
fault) / (size + cards). Where they differ (points, what was changed …), each card's odds are the base odds times its
own factors, and the estimate is the maximum of the same posterior in the log odds, found with steps that only ever
climb (minorisation, as Hunter 2004, "MM algorithms for generalized Bradley-Terry models", from memory). At most so many
faults at once (`most_at_once` of the bank) shifts nothing that could be seen: more than four at once are too rare. How
strongly a finding speaks is not learned: there are too few cards for each answer of each fault.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import NamedTuple

import numpy as np

from diagnostics.core.arrays import Float64s
from diagnostics.core.bank.bank import NOTHING_WRONG, Bank, Fault
from diagnostics.core.findings import Case

LEAST_CHANCE, MOST_CHANCE = 1e-6, 0.9  # the base rates a bank allows
SETTLED = 1e-13  # relative change of the odds below which the steps stop
MOST_STEPS = 10_000


@dataclass(frozen=True, eq=False)
class ClosedCard:
    """One closed card as it is now. case: of the last judgement before arrival, or of what is known.

    causes: confirmed faults of the bank, not withdrawn. has_own_words: one cause is only in the mechanic's own words.
    came_back: the machine returned with the same trouble, so this card does not say what it really was.
    """

    case: Case
    causes: frozenset[str]
    has_own_words: bool = False
    came_back: bool = False


CAME_BACK = "it came back with the same trouble"
OWN_WORDS = "a cause in the mechanic’s own words"
NOT_IN_THE_BANK = "a cause the bank doesn’t know"


def why_not_learned(
    causes: frozenset[str], known: frozenset[str], *, has_own_words: bool = False, came_back: bool = False
) -> str:
    """Why a closed card is kept but not counted; empty if it is: all its causes are the bank's, and no come-back.

    known: the bank's faults.

    >>> why_not_learned(frozenset({"air-leak", "reed-valve"}), frozenset({"air-leak", "reed-valve"}))
    ''
    >>> why_not_learned(frozenset({"air-leak"}), frozenset({"air-leak"}), has_own_words=True)
    'a cause in the mechanic’s own words'
    """
    reasons = {
        CAME_BACK: came_back,
        OWN_WORDS: has_own_words,
        NOT_IN_THE_BANK: not causes <= known,
    }
    return next((why for why, holds in reasons.items() if holds), "")


@dataclass(frozen=True)
class Counts:
    """edition: of the bank used as the prior. times: cards by fault id, or nothing-wrong; one with two causes is in
    both. chances: learned base rates by fault id. learned: cards counted; not_learned: cards kept but not counted.
    """

    edition: str
    times: Mapping[str, int]
    chances: Mapping[str, float]
    learned: int
    not_learned: int


class StoryTold(NamedTuple):
    """All of a card that its factors depend on, in an order of its own, so that equal machines have equal stories.

    traits: of the machine that the bank knows. answers: question of the story to what was answered.
    """

    booked: str
    traits: tuple[str, ...]
    answers: tuple[tuple[str, str | tuple[str, ...]], ...]


def story_of(bank: Bank, case: Case) -> StoryTold:
    known = {trait for fault in bank.faults for trait in fault.times}
    answers = []
    for question in bank.questions:
        given = case.answers.get(question.id)
        if question.is_story and given is not None and not isinstance(given, float):
            answers.append((question.id, given if isinstance(given, str) else tuple(given)))
    return StoryTold(case.booked, tuple(sorted(case.machine.traits & known)), tuple(answers))


def count(bank: Bank, cards: Iterable[ClosedCard]) -> Counts:
    """The counts of closed cards and the base rates they give, whatever the order of the cards.

    A cause that the bank no longer knows is not learned from.
    """
    kept = list(cards)
    known = frozenset(bank.fault_ids)
    taught = [
        card
        for card in kept
        if not why_not_learned(card.causes, known, has_own_words=card.has_own_words, came_back=card.came_back)
    ]
    times = dict.fromkeys((NOTHING_WRONG, *bank.fault_ids), 0)
    for card in taught:
        for fault in card.causes or {NOTHING_WRONG}:
            times[fault] += 1
    stories = Counter(story_of(bank, card.case) for card in taught)
    return counts_of(bank, times, stories, len(taught), len(kept) - len(taught))


def counts_of(
    bank: Bank, times: Mapping[str, int], stories: Mapping[StoryTold, int], learned: int, not_learned: int
) -> Counts:
    """The base rates that such cards give. times: cards by fault id, or nothing-wrong. stories: cards by story."""
    odds = learned_odds(
        np.array([fault.chance / (1 - fault.chance) for fault in bank.faults]),
        np.array([times[fault] for fault in bank.fault_ids], dtype=float),
        _kinds_of_card(bank, stories),
        bank.equivalent_cards,
    )
    chances = (odds / (1 + odds)).clip(LEAST_CHANCE, MOST_CHANCE)
    by_fault = dict(zip(bank.fault_ids, chances.tolist(), strict=True))
    return Counts(bank.edition, dict(times), by_fault, learned, not_learned)


def learned_odds(
    prior: Float64s, times: Float64s, kinds: Sequence[tuple[Float64s, int]], equivalent_cards: float
) -> Float64s:
    """(faults,) odds of each fault, present against absent.

    prior: the bank's odds. times: cards with each fault. kinds: (factors on the odds, number of such cards). Without
    factors it is the mean of the beta distribution:

    >>> learned_odds(np.array([0.25]), np.array([10.0]), [(np.ones(1), 100)], 50.0).round(6).tolist()
    [0.153846]

    (50 × 0.2 + 10 = 20 against 50 × 0.8 + 90 = 130.)
    """
    wanted = equivalent_cards * prior / (1 + prior) + times
    factors = np.array([factors for factors, _ in kinds]).reshape(len(kinds), len(prior))
    cards = np.array([[float(many)] for _, many in kinds]).reshape(len(kinds), 1)
    weighed, odds = cards * factors, prior.copy()
    for _ in range(MOST_STEPS):
        pull = equivalent_cards / (1 + odds) + (weighed / (1 + factors * odds)).sum(axis=0)
        after = wanted / pull
        is_settled = bool(np.all(np.abs(after - odds) <= SETTLED * odds))
        odds = after
        if is_settled:
            break
    return odds


def with_counts(bank: Bank, counts: Counts) -> Bank:
    """The bank with the learned base rates and the same edition; nothing else is changed."""
    faults = tuple(replace(fault, chance=counts.chances.get(fault.id, fault.chance)) for fault in bank.faults)
    return replace(bank, faults=faults)


def _kinds_of_card(bank: Bank, stories: Mapping[StoryTold, int]) -> list[tuple[Float64s, int]]:
    """Cards grouped by equal factors, in an order that does not depend on theirs."""
    found: dict[tuple[float, ...], int] = {}
    for story, cards in stories.items():
        factors = _factors(bank, story)
        found[factors] = found.get(factors, 0) + cards
    return [(np.array(factors), found[factors]) for factors in sorted(found)]


@lru_cache(maxsize=4096)  # stories: a garage has some hundred, each worked out once in a process
def _factors(bank: Bank, story: StoryTold) -> tuple[float, ...]:
    return tuple(_factor(bank, fault, story) for fault in bank.faults)


def _factor(bank: Bank, fault: Fault, story: StoryTold) -> float:
    """What multiplies the fault's base odds on such a machine; an unanswered question counts as its mean factor."""
    factor, answers = 1.0, dict(story.answers)
    for trait in sorted({*story.traits, story.booked}):
        factor *= fault.times.get(trait, 1.0)
    for question in bank.questions:
        if not question.is_story:
            continue
        given = answers.get(question.id)
        if given is None:
            factor *= sum(p * question.factors.get(a, {}).get(fault.id, 1.0) for a, p in question.share.items())
            continue
        given = (given,) if isinstance(given, str) else given
        for answer in given:
            factor *= question.factors.get(answer, {}).get(fault.id, 1.0)
        for together, times in question.together:
            factor *= times.get(fault.id, 1.0) if together.issubset(given) else 1.0
    return factor
