"""The bank's network in pyAgrum, a general-purpose library: the judge of the inference.

A noisy-MAX is a chain of maxima, one link a fault; the limit of faults at once is a chain that counts, with its end
observed as "not more". Only what is answered is put in: what is not observed below its causes changes nothing.
"""

from __future__ import annotations

import math
import warnings
from collections.abc import Collection, Iterator, Mapping, Sequence
from itertools import product

import numpy as np

from diagnostics.core.bank.bank import Bank, BankStep, Question
from diagnostics.core.findings import Case
from tests.diagnostics.core.drawn_sheets import draw_sheet
from tests.diagnostics.core.small_banks import case_of

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # its types warn while they are made: as an error that would kill the process
    import pyagrum

__all__ = ["agrum_chances", "agrum_chances_after", "asked", "network_of", "pyagrum", "with_few_answers"]

STORY = "changed"  # not known, it joins all faults in pyAgrum's network, which then needs up to a minute for one case
Evidence = dict[str, int]


def with_few_answers(bank: Bank, chance: np.random.Generator, least: int, most: int) -> Case:
    """What was changed, and `least` to `most` answers more of a drawn sheet: each one makes pyAgrum slower by times."""
    drawn = draw_sheet(bank, chance).case
    others = [question for question in drawn.answers if question != STORY]
    kept = [*chance.choice(others, size=int(chance.integers(least, most + 1)), replace=False), STORY]
    answers = {question: drawn.answers[question] for question in kept if question in drawn.answers}
    return case_of(bank, answers, machine=drawn.machine, booked=drawn.booked)


def agrum_chances(bank: Bank, case: Case) -> dict[str, float]:
    """By the law of total probability where the story is not known: each of its answers is put in, and the chances are
    added up, each with the chance of its evidence.
    """
    net, evidence = network_of(bank, case)
    if STORY in evidence or STORY not in net.names():
        return asked(bank, net, evidence)
    shares, chances = [], []
    for answer in range(net.variable(STORY).domainSize()):
        told = inferred(bank, net, evidence | {STORY: answer})
        shares.append(told.evidenceProbability())
        chances.append([float(told.posterior(fault)[1]) for fault in bank.fault_ids])
    return dict(zip(bank.fault_ids, np.average(chances, axis=0, weights=shares).tolist(), strict=True))


def agrum_chances_after(bank: Bank, case: Case, outcomes: Mapping[str, str]) -> dict[str, float]:
    """The same after steps of the bench: step id to the fault that it showed, "" where it found nothing."""
    net, evidence = network_of(bank, case)
    confirmed = {fault for fault in outcomes.values() if fault}
    evidence |= dict.fromkeys(confirmed, 1)
    for step in bank.steps:
        if step.id in outcomes:
            evidence[_add_step(net, step, confirmed)] = 0
    return asked(bank, net, evidence)


def network_of(bank: Bank, case: Case) -> tuple[pyagrum.BayesNet, Evidence]:
    """The network of a case's questions, and its evidence."""
    net = pyagrum.BayesNet()
    story = _add_story(net, bank)
    for fault in bank.faults:
        _add_fault(net, bank, case, fault.id, story)
    evidence: Evidence = {_add_counter(net, bank): 1}
    for question in bank.questions:
        answer = case.answers.get(question.id)
        if answer is None:
            continue
        if question.is_story:
            one = answer if isinstance(answer, str) else answer[0]  # type: ignore[index]
            evidence[question.id] = question.answer_ids.index(one)
        else:
            evidence[_add_sign(net, question, bank, str(answer))] = 1
    return net, evidence


def asked(bank: Bank, net: pyagrum.BayesNet, evidence: Evidence) -> dict[str, float]:
    """The chance of each fault, by exact inference."""
    told = inferred(bank, net, evidence)
    return {fault: float(told.posterior(fault)[1]) for fault in bank.fault_ids}


def inferred(bank: Bank, net: pyagrum.BayesNet, evidence: Evidence) -> pyagrum.LazyPropagation:
    told = pyagrum.LazyPropagation(net)
    told.setNumberOfThreads(1)  # several would wait for one another: a third more processor time, and no sooner done
    told.setEvidence(evidence)
    told.setTargets(set(bank.fault_ids))
    told.makeInference()
    return told


def _add(net: pyagrum.BayesNet, name: str, states: int, *parents: str) -> None:
    net.add(pyagrum.LabelizedVariable(name, "", states))
    for parent in parents:
        net.addArc(parent, name)


def _combinations(states: Sequence[int]) -> Iterator[tuple[int, ...]]:
    """The states of a node's parents, in the order in which fillWith takes the node's chances: the first runs fastest.

    A table is filled at once, because each line by itself costs more than the inference.
    """
    return (backwards[::-1] for backwards in product(*map(range, reversed(states))))


def _add_step(net: pyagrum.BayesNet, step: BankStep, confirmed: Collection[str]) -> str:
    """A test node: 1 where the step shows a fault that it looks for, each with its chance; of the confirmed no word."""
    looked_for = [fault for fault in step.clears if fault not in confirmed]
    name = f"step_{step.id}"
    net.add(pyagrum.LabelizedVariable(name, "", 2))
    for fault in looked_for:
        net.addArc(fault, name)
    chances = []
    for present in _combinations([2] * len(looked_for)):
        nothing = math.prod(1 - step.clears[fault] for fault, has in zip(looked_for, present, strict=True) if has)
        chances += [nothing, 1 - nothing]
    net.cpt(name).fillWith(chances)
    return name


def _add_story(net: pyagrum.BayesNet, bank: Bank) -> list[Question]:
    story = [question for question in bank.questions if question.is_story]
    for question in story:
        _add(net, question.id, len(question.answers))
        net.cpt(question.id)[:] = [question.share[answer] for answer in question.answer_ids]
    return story


def _add_fault(net: pyagrum.BayesNet, bank: Bank, case: Case, fault: str, story: list[Question]) -> None:
    _add(net, fault, 2, *(question.id for question in story))
    base = bank.fault(fault).chance / (1 - bank.fault(fault).chance)
    for trait, factor in bank.fault(fault).times.items():
        base *= factor if trait in case.machine.traits | {case.booked} else 1.0
    factors = [
        [question.factors.get(answer, {}).get(fault, 1.0) for answer in question.answer_ids] for question in story
    ]
    chances = []
    for told in _combinations([len(question.answers) for question in story]):
        odds = base * math.prod(factor[answer] for factor, answer in zip(factors, told, strict=True))
        chances += [1 / (1 + odds), odds / (1 + odds)]
    net.cpt(fault).fillWith(chances)


def _add_counter(net: pyagrum.BayesNet, bank: Bank) -> str:
    """A chain that counts the faults up to one more than allowed, and its end: 1 where not more are present."""
    top, before = bank.most_at_once + 1, ""
    for fault in bank.fault_ids:
        name = f"count_{fault}"
        _add(net, name, top + 1, fault, *([before] if before else []))
        chances = []
        for has, so_far in _combinations([2, top + 1 if before else 1]):
            chances += _only(min(so_far + has, top), top + 1)
        net.cpt(name).fillWith(chances)
        before = name
    _add(net, "not_more", 2, before)
    net.cpt("not_more").fillWith([0.0, 1.0] * top + [1.0, 0.0])
    return "not_more"


def _only(state: int, states: int) -> list[float]:
    return [float(k == state) for k in range(states)]


def _add_sign(net: pyagrum.BayesNet, question: Question, bank: Bank, answer: str) -> str:
    """The chain of maxima, then whether the answer is given: the name of that node, to be observed as 1.

    Its states are nothing shown (0) and the answers, those that make no difference to the answer taken together.
    """
    group = _states(question, answer)
    states, before = max(group) + 1, ""
    for fault in (fault for fault in bank.fault_ids if fault in question.shows):
        name = f"{question.id}_{fault}"
        shown = [0.0] * states
        for state, chance in zip(group, _links(question, fault), strict=True):
            shown[state] += chance
        _add(net, name, states, fault, *([before] if before else []))
        chances = []
        for has, so_far in _combinations([2, states if before else 1]):
            row = [0.0] * states
            for k, chance in enumerate(shown):
                row[max(k, so_far)] += chance
            chances += row if has else _only(so_far, states)
        net.cpt(name).fillWith(chances)
        before = name
    given = f"{question.id}_given"
    _add(net, given, 2, *([before] if before else []))
    chances = [_chance_given(question, answer, group, state) for state in range(states if before else 1)]
    net.cpt(given).fillWith([each for chance in chances for each in (1 - chance, chance)])
    return given


def _states(question: Question, answer: str) -> list[int]:
    """Of nothing shown and each answer, in rising order, the state of the chain that stands for it."""
    if question.said:
        return list(range(len(question.answers) + 1))
    at = question.answer_ids.index(answer)
    return [0] + [1 if k < at else 2 if k == at else 3 for k in range(len(question.answers))]


def _links(question: Question, fault: str) -> list[float]:
    links = question.shows[fault]
    return [1 - sum(links.values())] + [links.get(answer, 0.0) for answer in question.answer_ids]


def _chance_given(question: Question, answer: str, group: list[int], state: int) -> float:
    said = {
        shown: question.said[shown][answer] if question.said else float(shown == answer)
        for shown in question.answer_ids
    }
    if state == 0:
        return sum(question.background[shown] * said[shown] for shown in question.answer_ids)
    return said[question.answer_ids[group.index(state) - 1]] if question.said else float(state == 2)
