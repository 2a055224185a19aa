"""The judgement with six faults at once at most, twice the bank's limit: 397,000 sets, a block at a time. Slow, for
figures. All sets of 27 faults, 2^27, would take an hour a sheet, and seven at once are hardly ever left by a sheet.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import chain, combinations, islice, product

import numpy as np

from diagnostics.core.arrays import Float64s
from diagnostics.core.bank.bank import Bank, Question
from diagnostics.core.findings import Case
from diagnostics.core.judging.inference import answer_chances

BLOCK = 1 << 15
MOST = 6  # faults at once


@dataclass(frozen=True)
class Unlimited:
    """chances: (faults,) of each fault; within: the same given that no more are present than the bank allows at once;
    spoilt: that one is present which spoils the visit; more: that more are present than allowed."""

    chances: Float64s
    within: Float64s
    spoilt: float
    more: float


def unlimited(bank: Bank, case: Case) -> Unlimited:
    """Every set of faults weighed from the bank's definition; no strobe readings and no clips are known here."""
    faults = len(bank.faults)
    spoils = np.array([case.booked in fault.spoils for fault in bank.faults])
    total, found, within, spoilt, more = 0.0, np.zeros(faults), np.zeros(faults), 0.0, 0.0
    for has in _blocks(faults):
        weight = _prior(bank, case, has)
        for question in bank.questions:
            answer = case.answers.get(question.id)
            if question.background and isinstance(answer, str):
                weight *= _sign(question, bank, has, answer)
        total += float(weight.sum())
        found += weight @ has
        spoilt += float(weight @ has[:, spoils].any(axis=1))
        is_more = has.sum(axis=1) > bank.most_at_once
        within += (weight * ~is_more) @ has
        more += float(weight @ is_more)
    return Unlimited(found / total, within / (total - more), spoilt / total, more / total)


def _blocks(faults: int) -> Iterator[Float64s]:
    """(sets, faults), some of the sets at a time."""
    every = chain.from_iterable(combinations(range(faults), size) for size in range(MOST + 1))
    while some := list(islice(every, BLOCK)):
        has = np.zeros((len(some), faults))
        for row, held in enumerate(some):
            has[row, list(held)] = 1.0
        yield has


def _sign(question: Question, bank: Bank, has: Float64s, answer: str) -> Float64s:
    shown = answer_chances(question, bank.fault_ids, has)
    if not question.said:
        return shown[question.answer_ids.index(answer)]
    return np.array([question.said[was][answer] for was in question.answer_ids]) @ shown


def _prior(bank: Bank, case: Case, has: Float64s) -> Float64s:
    """Independent faults, summed over the answers to the story's questions that were not given."""
    story = [question for question in bank.questions if question.is_story]
    weight = np.zeros(len(has))
    for told in product(*(_ways(question, case) for question in story)):
        odds = np.array([_odds(bank, case, story, told, fault) for fault in bank.fault_ids])
        share = math.prod(q.share[ids[0]] for q, ids in zip(story, told, strict=True) if len(ids) == 1)
        weight += share * np.exp(has @ np.log(odds)) / np.prod(1 + odds)
    return weight


def _ways(question: Question, case: Case) -> list[tuple[str, ...]]:
    answer = case.answers.get(question.id)
    if answer is None:
        return [(one,) for one in question.answer_ids]
    return [(answer,) if isinstance(answer, str) else tuple(answer)]  # type: ignore[arg-type]


def _odds(bank: Bank, case: Case, story: list[Question], told: tuple[tuple[str, ...], ...], fault: str) -> float:
    rate = bank.fault(fault).chance
    known = [
        factor for trait, factor in bank.fault(fault).times.items() if trait in case.machine.traits | {case.booked}
    ]
    moved = [q.factors.get(one, {}).get(fault, 1.0) for q, ids in zip(story, told, strict=True) for one in ids]
    return rate / (1 - rate) * math.prod(known) * math.prod(moved)
