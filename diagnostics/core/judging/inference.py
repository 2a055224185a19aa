"""Exact chances of the faults: every set of faults the bank allows is weighed, with no pruning and no sampling.

The model. Faults are independent a priori, so the prior weight of a set F is the product of its faults' odds, for sets
of at most `most_at_once` faults. That limit is part of the model, as the odds are. Each finding is a noisy-MAX (for two
answers a noisy-OR) over the faults that can show it, with links net of the leak (Díez; Pearl 1988). The leak is the
answer given if no fault shows any. What was changed and how the trouble came multiply the odds instead; where they are
unknown, they are summed out. A finding that is missing or `unsure` adds no factor.

With 27 faults, three at once, there are 3,304 sets. Their likelihoods for every possible answer form one table,
computed once for a bank. A judgement adds up rows of its logarithm, and every chance is one product with the result.
All terms are positive, so nothing cancels; quickscore's alternating sums do cancel when answers contradict each other.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations
from typing import NamedTuple

import numpy as np

from diagnostics.core.arrays import Float64s, Indices
from diagnostics.core.bank.bank import Bank, Question
from diagnostics.core.findings import MachineFacts


@dataclass(frozen=True, eq=False)
class Model:
    """The tables of a bank over every set of faults.

    has: (sets, faults) 1.0 if the set contains the fault. chance: (answers, sets) float64, the likelihood of each
    answer to each question that is a sign; log_chance: its logarithm. row: (question, answer) to its row. shown: for
    each question whose `said` differs from what was shown, (answers, sets) the likelihood of what was shown. story: the
    questions that change the base rates instead.
    """

    bank: Bank
    has: Float64s
    chance: Float64s
    log_chance: Float64s
    row: Mapping[tuple[str, str], int]
    shown: Mapping[str, Float64s]
    story: tuple[str, ...]

    def fault_mask(self, fault_ids: Sequence[str]) -> Float64s:
        """(sets,) 1.0 if the set contains any of the faults."""
        return _fault_mask(self, tuple(fault_ids))


def fault_chances(model: Model, weight: Float64s) -> Float64s:
    """(faults,) chance of each fault. weight: (sets,) adding up to 1."""
    at, begins = _sets_with(model)
    return np.asarray(np.add.reduceat(weight.take(at), begins).clip(0.0, 1.0))


@lru_cache(maxsize=8)
def _sets_with(model: Model) -> tuple[Indices, Indices]:
    """The sets that contain the first fault, then the second and so on; and where each run starts."""
    fault, at = np.nonzero(model.has.T)
    return at, np.searchsorted(fault, np.arange(model.has.shape[1]))


@lru_cache(maxsize=64)
def _fault_mask(model: Model, fault_ids: tuple[str, ...]) -> Float64s:
    columns = [model.bank.fault_ids.index(fault) for fault in fault_ids]
    mask: Float64s = np.asarray(model.has[:, columns].any(axis=1), dtype=np.float64)
    mask.setflags(write=False)
    return mask


@lru_cache(maxsize=8)
def model_of(bank: Bank) -> Model:
    """The tables of a bank. Cached, because they take some tenths of a second to compute.

    They do not depend on base rates, so banks that differ only in those share them.
    """
    story = tuple(question.id for question in bank.questions if question.is_story)
    return Model(bank, *_tables(bank.questions, bank.fault_ids, bank.most_at_once), story)


_Tables = tuple[Float64s, Float64s, Float64s, Mapping[tuple[str, str], int], Mapping[str, Float64s]]


@lru_cache(maxsize=8)
def _tables(questions: tuple[Question, ...], fault_ids: tuple[str, ...], most_at_once: int) -> _Tables:
    has = sets_of_faults(len(fault_ids), most_at_once)
    rows: list[Float64s] = []
    row: dict[tuple[str, str], int] = {}
    shown: dict[str, Float64s] = {}
    for question in questions:
        if not question.background:  # the machine's story, a number, or what it says of the machine
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


def sets_of_faults(faults: int, most_at_once: int) -> Float64s:
    """(sets, faults) of 0.0 and 1.0: the empty set first, then all single faults, then all pairs and so on.

    >>> sets_of_faults(3, 2).astype(int).tolist()
    [[0, 0, 0], [1, 0, 0], [0, 1, 0], [0, 0, 1], [1, 1, 0], [1, 0, 1], [0, 1, 1]]
    """
    chosen = [held for size in range(min(most_at_once, faults) + 1) for held in combinations(range(faults), size)]
    has = np.zeros((len(chosen), faults))
    for row, held in enumerate(chosen):
        has[row, list(held)] = 1.0
    return has


def answer_chances(question: Question, fault_ids: Sequence[str], has: Float64s) -> Float64s:
    """(answers, sets): likelihood of each answer given each set, the noisy-MAX of the question.

    Each fault present shows answer k with the chance of its link, or nothing; the highest answer shown is given. Let
    C_k be the chance that nothing above k is shown, a product over the faults present. Answer k then has C_k − C_(k−1).
    If nothing is shown at all, with chance C_∅, the background decides.
    """
    link = np.array([[question.shows.get(f, {}).get(a, 0.0) for a in question.answer_ids] for f in fault_ids])
    at_most = (1.0 - link.sum(axis=1, keepdims=True)) + np.cumsum(link, axis=1)  # (faults, answers)
    nothing = np.exp(has @ np.log(1.0 - link.sum(axis=1)))
    up_to = np.exp(np.log(at_most).T @ has.T)  # (answers, sets)
    below = np.vstack([nothing, up_to[:-1]])
    background = np.array([question.background[a] for a in question.answer_ids])
    return np.asarray(np.maximum(up_to - below, 0.0) + background[:, None] * nothing)


Story = Mapping[str, tuple[str, ...]]  # question id to the answers given; questions not asked are missing


def log_prior(model: Model, machine: MachineFacts, booked: str, story: Story) -> Float64s:
    """(sets,) log prior weight of each set, joint with the answers about the machine's story.

    A question that was not answered is summed out, weighted by the share of each answer. The weights add up to the
    joint chance of these answers and at most `most_at_once` faults.
    """
    return _log_prior(model, machine.traits | {booked}, _answers_of(model, story)).copy()


def story_weight(model: Model, traits: frozenset[str], story: Story) -> Float64s:
    """(sets,) the part of the prior weight that depends on the story; the rest is the odds of machine and visit."""
    return _shared_out(model, traits, _answers_of(model, story)).weight


def story_chances(model: Model, traits: frozenset[str], story: Story, question: str, weights: Float64s) -> Float64s:
    """(answers, n): for each of n weightings of the sets of faults, the part that goes with each answer to an
    unanswered question about the story. weights: (n, sets).
    """
    answers = _answers_of(model, story)
    ways, shared = _ways(model, answers), _shared_out(model, traits, answers)
    sizes = [1 if given else len(model.bank.question(other).answers) for other, given in answers]
    parts = shared.share[:, None] * (ways.factor @ (weights / shared.weight).T)
    others = tuple(axis for axis, other in enumerate(model.story) if other != question)
    return np.asarray(parts.reshape(*sizes, len(weights)).sum(axis=others))


_Answers = tuple[
    tuple[str, tuple[str, ...] | None], ...
]  # by question of the story, in the model's order; None: missing


def _answers_of(model: Model, story: Story) -> _Answers:
    return tuple([(question, story.get(question)) for question in model.story])


@lru_cache(maxsize=256)
def _log_prior(model: Model, traits: frozenset[str], answers: _Answers) -> Float64s:
    return model.has @ _base_log_odds(model.bank, traits) + np.log(_shared_out(model, traits, answers).weight)


class _Shared(NamedTuple):
    """share: (ways,) weight of each way the story can be, with no fault present. weight: (sets,) the sum of those, each
    times its factor on the odds of the set.
    """

    share: Float64s
    weight: Float64s


@lru_cache(maxsize=256)
def _shared_out(model: Model, traits: frozenset[str], answers: _Answers) -> _Shared:
    ways = _ways(model, answers)
    log_odds = _base_log_odds(model.bank, traits) + ways.moves
    share = np.exp(ways.log_share - np.logaddexp(0.0, log_odds).sum(axis=1))
    weight = share @ ways.factor
    weight.setflags(write=False)
    return _Shared(share, weight)


@lru_cache(maxsize=256)
def _base_log_odds(bank: Bank, traits: frozenset[str]) -> Float64s:
    """(faults,) log odds of each fault for such a machine and visit."""
    odds = np.array([fault.chance / (1.0 - fault.chance) for fault in bank.faults])
    times = [math.prod(factor for trait, factor in fault.times.items() if trait in traits) for fault in bank.faults]
    return np.log(odds * times)


class _Ways(NamedTuple):
    """The ways the story can be. log_share: (ways,). moves: (ways, faults) what each way adds to the faults' log odds.
    factor: (ways, sets) what it multiplies the odds of each set by.
    """

    log_share: Float64s
    moves: Float64s
    factor: Float64s


@lru_cache(maxsize=128)
def _ways(model: Model, answers: _Answers) -> _Ways:
    """A single way if every question is answered; otherwise one for each combination of answers to the open ones."""
    fault_ids = model.bank.fault_ids
    ways = _Ways(np.zeros(1), np.zeros((1, len(fault_ids))), np.ones((1, len(model.has))))
    for question, given in answers:
        log_share, moves = _moves(model.bank.question(question), given, fault_ids)
        ways = _Ways(
            (ways.log_share[:, None] + log_share).reshape(-1),
            (ways.moves[:, None] + moves).reshape(-1, len(fault_ids)),
            (ways.factor[:, None] * np.exp(moves @ model.has.T)).reshape(-1, len(model.has)),
        )
    return ways


def _moves(question: Question, given: tuple[str, ...] | None, fault_ids: Sequence[str]) -> tuple[Float64s, Float64s]:
    """(ways,) and (ways, faults): the answer given, or every answer with its share. Several answers have no share."""
    factors = [question.factors.get(answer, {}) for answer in given or question.answer_ids]
    if given is not None:
        factors += [times for answers, times in question.together if answers.issubset(given)]
    moves = np.log([[of_answer.get(fault, 1.0) for fault in fault_ids] for of_answer in factors])
    if given is None:
        return np.log([question.share[answer] for answer in question.answer_ids]), moves
    log_share = math.log(question.share[given[0]]) if len(given) == 1 else 0.0
    return np.array([log_share]), moves.sum(axis=0, keepdims=True)
