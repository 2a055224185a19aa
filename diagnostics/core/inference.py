"""Exact chances of the faults: every set of faults the bank allows is weighed, none is left out or sampled.

The model. A set of faults F has the prior weight of independent faults, the product of their odds, where no more than
`most_at_once` are present; that limit is part of the model, as are the odds. Each finding is a noisy-MAX (for two
answers a noisy-OR) over the faults that can show it, with links net of the leak (Díez; Pearl 1988), the leak being the
answer given where no fault shows any. What was changed and how the trouble came move the odds instead; not asked, they
are summed over. A finding that is missing or `unsure` has no factor.

With 19 faults, four at once, there are 5,036 sets: their likelihoods for every possible answer are one table, made once
for a bank; a judgement is a sum of rows of its logarithm, and every chance one product with it. All terms are positive,
so nothing cancels (quickscore's alternating sums do, where answers contradict each other).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations, product
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from diagnostics.core.bank import NUMBER, Bank, Fault, Question
from diagnostics.core.findings import Machine

Floats = NDArray[np.float64]
Whole = NDArray[np.intp]


@dataclass(frozen=True, eq=False)
class Model:
    """What a bank says of every set of faults.

    has: (sets, faults) 1.0 where the set holds the fault. chance: (answers, sets) float64, the chance of each answer of
    each question that is a sign; log_chance its logarithm. row: (question, answer) to its row. shown: per question
    whose `said` differs from what was shown, (answers, sets) the chance of what was shown.
    """

    bank: Bank
    has: Floats
    chance: Floats
    log_chance: Floats
    row: Mapping[tuple[str, str], int]
    shown: Mapping[str, Floats]

    def fault_mask(self, fault_ids: Sequence[str]) -> Floats:
        """(sets,) 1.0 where the set holds any of the faults."""
        return _fault_mask(self, tuple(fault_ids))


@lru_cache(maxsize=64)
def _fault_mask(model: Model, fault_ids: tuple[str, ...]) -> Floats:
    columns = [model.bank.fault_ids.index(fault) for fault in fault_ids]
    mask: Floats = np.asarray(model.has[:, columns].any(axis=1), dtype=np.float64)
    mask.setflags(write=False)
    return mask


@lru_cache(maxsize=8)
def model_of(bank: Bank) -> Model:
    """The tables of a bank; kept, since they take some tenths of a second to make.

    A bank with other base rates and the same questions shares them: no base rate is in them.
    """
    return Model(bank, *_tables(bank.questions, bank.fault_ids, bank.most_at_once))


_Tables = tuple[Floats, Floats, Floats, Mapping[tuple[str, str], int], Mapping[str, Floats]]


@lru_cache(maxsize=8)
def _tables(questions: tuple[Question, ...], fault_ids: tuple[str, ...], most_at_once: int) -> _Tables:
    has = sets_of_faults(len(fault_ids), most_at_once)
    rows: list[Floats] = []
    row: dict[tuple[str, str], int] = {}
    shown: dict[str, Floats] = {}
    for question in questions:
        if question.is_story or question.kind == NUMBER:
            continue
        chances = answer_chances(question, fault_ids, has)
        if question.said:
            shown[question.id] = chances
            chances = (
                np.array([[question.said[b][a] for b in question.answer_ids] for a in question.answer_ids]) @ chances
            )
        for answer, chance in zip(question.answer_ids, chances, strict=True):
            row[question.id, answer] = len(rows)
            rows.append(chance)
    table = np.array(rows)
    return has, table, np.log(table), row, shown


def sets_of_faults(faults: int, most_at_once: int) -> Floats:
    """(sets, faults) of 0.0 and 1.0: the empty set first, then all single faults, then all pairs and so on.

    >>> sets_of_faults(3, 2).astype(int).tolist()
    [[0, 0, 0], [1, 0, 0], [0, 1, 0], [0, 0, 1], [1, 1, 0], [1, 0, 1], [0, 1, 1]]
    """
    chosen = [held for size in range(min(most_at_once, faults) + 1) for held in combinations(range(faults), size)]
    has = np.zeros((len(chosen), faults))
    for row, held in enumerate(chosen):
        has[row, list(held)] = 1.0
    return has


def answer_chances(question: Question, fault_ids: Sequence[str], has: Floats) -> Floats:
    """(answers, sets): chance of each answer given each set, the noisy-MAX of the question.

    Each present fault shows answer k with its link, or nothing; the highest shown is the answer. With C_k the chance
    that nothing above k is shown, the product over the faults present, answer k has C_k − C_(k−1), and where nothing
    at all is shown, C_∅, the background decides.
    """
    link = np.array([[question.shows.get(f, {}).get(a, 0.0) for a in question.answer_ids] for f in fault_ids])
    at_most = (1.0 - link.sum(axis=1, keepdims=True)) + np.cumsum(link, axis=1)  # (faults, answers)
    nothing = np.exp(has @ np.log(1.0 - link.sum(axis=1)))
    up_to = np.exp(np.log(at_most).T @ has.T)  # (answers, sets)
    below = np.vstack([nothing, up_to[:-1]])
    background = np.array([question.background[a] for a in question.answer_ids])
    return np.asarray(np.maximum(up_to - below, 0.0) + background[:, None] * nothing)


Story = tuple[tuple[str, tuple[str, ...] | None], ...]


def log_prior(model: Model, machine: Machine, booked: str, story: Mapping[str, tuple[str, ...]]) -> Floats:
    """(sets,) logarithm of the prior weight of each set, joint with the story's answers.

    story: question id to the answers given; a question of the story that is missing is summed over with the share of
    each answer. The weights add up to the share of the story among machines with at most that many faults.
    """
    asked = tuple((q.id, story.get(q.id)) for q in model.bank.questions if q.is_story)
    return _log_prior(model, machine.traits | {booked}, asked)


@lru_cache(maxsize=256)
def _log_prior(model: Model, traits: frozenset[str], story: Story) -> Floats:
    bank = model.bank
    base = np.array([_base_log_odds(fault, traits) for fault in bank.faults])
    ways = list(product(*(_ways(bank, bank.question(question), given) for question, given in story)))
    log_odds = np.array([base + sum((way.moves for way in told), np.zeros(len(base))) for told in ways])
    log_share = np.array([sum(way.log_share for way in told) for told in ways])
    scale = log_share - np.logaddexp(0.0, log_odds).sum(axis=1)
    result: Floats = np.logaddexp.reduce(log_odds @ model.has.T + scale[:, None], axis=0)
    result.setflags(write=False)
    return result


def _base_log_odds(fault: Fault, traits: frozenset[str]) -> float:
    factors = [factor for trait, factor in fault.times.items() if trait in traits]
    return math.log(fault.chance / (1.0 - fault.chance)) + sum(math.log(factor) for factor in factors)


class _Way(NamedTuple):
    """One way a question of the story may be answered; moves: (faults,) what it adds to the log odds."""

    log_share: float
    moves: Floats


def _ways(bank: Bank, question: Question, given: tuple[str, ...] | None) -> list[_Way]:
    """The answer given, or each one with its share. Of several at once only the moves count."""
    if given is None:
        return [_Way(math.log(share), _moves(bank, question, answer)) for answer, share in question.share.items()]
    moves = sum((_moves(bank, question, answer) for answer in given), np.zeros(len(bank.faults)))
    return [_Way(math.log(question.share[given[0]]) if len(given) == 1 else 0.0, moves)]


def _moves(bank: Bank, question: Question, answer: str) -> Floats:
    factors = question.factors.get(answer, {})
    return np.log([factors.get(fault, 1.0) for fault in bank.fault_ids])
