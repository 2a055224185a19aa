"""Which answers point to a fault together, which point away from it, and which contradict each other.

An answer points to a fault if it clearly raises the fault's odds, either when it is left out of everything known or on
its own. Both are tried because two redundant answers each seem worth little when left out: the other one remains. Two
or more answers that point to the same fault are listed together, with the chance of the fault with all of them and with
none. Their joint weight is compared with the sum of their single weights, all as log odds ratios by leaving out. Well
above the sum, they are partly redundant. Well below it, they reinforce each other. Near it, they simply add up.

Source: weight of evidence by leaving out (Good 1950; from memory). Redundancy and synergy are the usual names for the
two departures. The limits: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from diagnostics.core.arrays import Float64s
from diagnostics.core.findings import Case
from diagnostics.core.judging.evidence import REV_OUT, Evidence, gather, heard_of
from diagnostics.core.judging.heard_chances import contradiction
from diagnostics.core.judging.inference import Model
from diagnostics.core.judging.routing import has_answers

CLEARLY = 0.7  # natural log of an odds ratio; a weaker answer counts neither for nor against a fault
LEAST_CHANCE = 0.05  # less likely faults are left out
OFF_THE_SUM = 0.25  # relative difference from the sum above which weights do not just add up
MOST_LINES = 3
STRONGLY = 0.5  # 0 to 1: from here on, answer and clip contradict each other
TINY = 1e-300  # keeps the logarithm finite if a chance underflows to 0
HEARD = "heard"
ADD_UP, SAY_THE_SAME, STRENGTHEN = "add-up", "say-the-same", "strengthen"


@dataclass(frozen=True)
class Together:
    """answers: "id=value" each, strongest first. faults: those they all point to, likeliest first. chance: that at
    least one of these is present. without: the same chance without any of the answers. how: ADD_UP, SAY_THE_SAME or
    STRENGTHEN. against: answers that clearly point away from the likeliest of the faults.
    """

    answers: tuple[str, ...]
    faults: tuple[str, ...]
    chance: float
    without: float
    how: str
    against: tuple[str, ...]


def speak_together(evidence: Evidence) -> tuple[Together, ...]:
    """Groups of two or more answers that point to the same faults, the group of the likeliest fault first."""
    labels = evidence.labels()
    if len(labels) < 2:
        return ()
    moved, alone = _moved(evidence, labels), _moved_alone(evidence, labels)
    speaks = (np.maximum(moved, alone) >= CLEARLY) & (moved > 0.0)
    chances = evidence.weight() @ evidence.model.has
    groups: dict[tuple[int, ...], list[int]] = {}
    for fault in sorted(range(len(chances)), key=lambda f: -chances[f]):
        speakers = tuple(int(k) for k in np.flatnonzero(speaks[:, fault]))
        if chances[fault] >= LEAST_CHANCE and len(speakers) > 1:
            groups.setdefault(speakers, []).append(fault)
    found = list(groups.items())[:MOST_LINES]
    return tuple(_together(evidence, labels, moved, speakers, faults) for speakers, faults in found)


def contradictions(model: Model, case: Case) -> tuple[tuple[str, ...], ...]:
    """Pairs of contradictory answers, each as "id=value": those the bank names, and the owner's answer on the rev-out
    if the clip strongly contradicts it.
    """
    found = [
        tuple(f"{question}={answer}" for question, answer in pair.items())
        for pair in model.bank.contradictions
        if has_answers(case, pair)
    ]
    return (*found, *_word_against_clip(model, case))


def _word_against_clip(model: Model, case: Case) -> list[tuple[str, str]]:
    heard, word = heard_of(model, case), case.answers.get(REV_OUT)
    if heard is None or case.heard is None or not isinstance(word, str):
        return []
    strength = contradiction(heard, model.bank.question(REV_OUT).answer_ids, word)
    return [(f"{REV_OUT}={word}", f"{HEARD}={case.heard.verdict}")] if strength >= STRONGLY else []


def _moved(evidence: Evidence, labels: Sequence[str]) -> Float64s:
    """(answers, faults) how much of the fault's log odds leaving the answer out would undo."""
    without = np.array([_log_weight_without(evidence, [label]) for label in labels])
    has = evidence.model.has
    return _log_odds(evidence.log_weight[None, :], has) - _log_odds(without, has)


def _moved_alone(evidence: Evidence, labels: Sequence[str]) -> Float64s:
    """(answers, faults) how much the answer on its own changes the fault's log odds."""
    alone = [_log_weight_without(evidence, [other for other in labels if other != label]) for label in labels]
    nothing = _log_weight_without(evidence, labels)
    has = evidence.model.has
    return _log_odds(np.array(alone), has) - _log_odds(nothing[None, :], has)


def _together(
    evidence: Evidence, labels: Sequence[str], moved: Float64s, speakers: Sequence[int], faults: Sequence[int]
) -> Together:
    mask = evidence.model.has[:, list(faults)].max(axis=1, keepdims=True)
    left_out = [[labels[k]] for k in speakers] + [[], [labels[k] for k in speakers]]
    *each, now, without = _log_odds(np.array([_log_weight_without(evidence, out) for out in left_out]), mask)[:, 0]
    single = [float(now - one) for one in each]
    by_weight = sorted(zip(single, speakers, strict=True), key=lambda pair: (-pair[0], labels[pair[1]]))
    against = np.flatnonzero(moved[:, faults[0]] <= -CLEARLY)
    return Together(
        answers=tuple(labels[k] for _, k in by_weight),
        faults=tuple(evidence.model.bank.fault_ids[f] for f in faults),
        chance=_chance(now),
        without=_chance(without),
        how=_how(float(now - without), sum(single)),
        against=tuple(labels[int(k)] for k in against),
    )


def _how(joint: float, total: float) -> str:
    """How the joint weight compares with the sum of the single weights.

    >>> _how(3.0, 2.0), _how(2.0, 3.0), _how(2.1, 2.0)
    ('say-the-same', 'strengthen', 'add-up')
    """
    if joint > total * (1 + OFF_THE_SUM):
        return SAY_THE_SAME
    return STRENGTHEN if joint < total * (1 - OFF_THE_SUM) else ADD_UP


def _log_weight_without(evidence: Evidence, labels: Sequence[str]) -> Float64s:
    """(sets,) log weight without these answers; the owner's answer and the clip are left out together."""
    answers, heard = dict(evidence.case.answers), evidence.case.heard
    for question, _, value in (part.partition("=") for label in labels for part in label.split("+")):
        if question == HEARD:
            heard = None
            continue
        given = answers.pop(question)
        if isinstance(given, tuple) and len(given) > 1:
            answers[question] = tuple(one for one in given if one != value)
    return gather(evidence.model, replace(evidence.case, answers=answers, heard=heard)).log_weight


def _log_odds(log_weight: Float64s, masks: Float64s) -> Float64s:
    """(cases, masks) log odds of the sets in each mask. Both sides are summed separately."""
    weight = np.exp(log_weight - log_weight.max(axis=1, keepdims=True))
    inside, outside = weight @ masks, weight @ (1.0 - masks)
    return np.asarray(np.log(np.maximum(inside, TINY)) - np.log(np.maximum(outside, TINY)))


def _chance(log_odds: float) -> float:
    return float(1.0 / (1.0 + np.exp(-log_odds)))
