"""The slow twin of the inference: every set of faults in a plain loop, straight from the bank's definition."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from itertools import combinations, product

from diagnostics.core.bank.bank import Bank, Question
from diagnostics.core.findings import Case

Faults = tuple[str, ...]
Known = dict[tuple[str, Faults], float]  # a question's answer with those of the faults that show in it: worked out once


def plain_weights(bank: Bank, case: Case) -> dict[Faults, float]:
    """Chance of every set of faults; strobe readings and clips are not known here."""
    known: Known = {}
    weights = {faults: _prior(bank, case, faults) * _signs(bank, case, faults, known) for faults in sets(bank)}
    total = math.fsum(weights.values())
    return {faults: weight / total for faults, weight in weights.items()}


def plain_chances(bank: Bank, case: Case) -> dict[str, float]:
    weights = plain_weights(bank, case)
    return {f: math.fsum(w for faults, w in weights.items() if f in faults) for f in bank.fault_ids}


def sets(bank: Bank) -> Iterator[Faults]:
    for size in range(bank.most_at_once + 1):
        yield from combinations(bank.fault_ids, size)


def answer_chance(question: Question, faults: Faults, answer: str) -> float:
    """Chance of the answer: the highest level any present fault shows, the background where none shows any."""
    levels = {-1: 1.0}
    for fault in faults:
        links = question.shows.get(fault, {})
        shown = {-1: 1 - sum(links.values())} | {question.answer_ids.index(a): p for a, p in links.items()}
        merged: dict[int, float] = {}
        for (left, p), (right, r) in product(levels.items(), shown.items()):
            merged[max(left, right)] = merged.get(max(left, right), 0.0) + p * r
        levels = merged
    was = {a: levels.get(k, 0.0) + levels[-1] * question.background[a] for k, a in enumerate(question.answer_ids)}
    if not question.said:
        return was[answer]
    return sum(chance * question.said[shown][answer] for shown, chance in was.items())


def _signs(bank: Bank, case: Case, faults: Faults, known: Known) -> float:
    chance = 1.0
    for question in bank.questions:
        answer = case.answers.get(question.id)
        if question.background and isinstance(answer, str):
            shown = question.id, tuple(fault for fault in faults if fault in question.shows)
            if shown not in known:
                known[shown] = answer_chance(question, shown[1], answer)
            chance *= known[shown]
    return chance


def _prior(bank: Bank, case: Case, faults: Faults) -> float:
    asked = [question for question in bank.questions if question.is_story]
    total = 0.0
    for told in product(*(_ways(question, case) for question in asked)):
        total += _prior_told(bank, case, faults, dict(zip((q.id for q in asked), told, strict=True)))
    return total


def _ways(question: Question, case: Case) -> list[tuple[str, ...]]:
    answer = case.answers.get(question.id)
    if answer is None:
        return [(one,) for one in question.answer_ids]
    return [(answer,) if isinstance(answer, str) else tuple(answer)]  # type: ignore[arg-type]


def _prior_told(bank: Bank, case: Case, faults: Faults, story: Mapping[str, tuple[str, ...]]) -> float:
    weight = 1.0
    for question, told in story.items():
        weight *= bank.question(question).share[told[0]] if len(told) == 1 else 1.0
    for fault in bank.faults:
        odds = fault.chance / (1 - fault.chance)
        for trait in case.machine.traits | {case.booked}:
            odds *= fault.times.get(trait, 1.0)
        for question, told in story.items():
            for answer in told:
                odds *= bank.question(question).factors.get(answer, {}).get(fault.id, 1.0)
            for answers, factors in bank.question(question).together:
                odds *= factors.get(fault.id, 1.0) if answers <= set(told) else 1.0
        weight *= odds / (1 + odds) if fault.id in faults else 1 / (1 + odds)
    return weight
