"""From a case to the weight of every set of faults, factor by factor, so that each can be left out again."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from diagnostics.core.findings import Case, said
from diagnostics.core.heard_chances import heard_chances
from diagnostics.core.inference import Floats, Model, log_prior, story_weight
from diagnostics.core.strobe_chances import log_strobe

REV_OUT = "rev_out"
AT_A_TIME = 16  # chances multiplied before their logarithm is taken: none is so small that so many leave a double
IDLE, PEAK = "strobe_idle", "strobe_peak"


@dataclass(frozen=True, eq=False)
class Factors:
    """Things known. labels: "id=value" of each; undo: (things, sets) the factor on the weight of each set that leaving
    it out is."""

    labels: tuple[str, ...]
    undo: Floats


@dataclass(frozen=True, eq=False)
class Evidence:
    """What a case says of the sets of faults. log_weight: (sets,) logarithm of the weight of each, not scaled; signs:
    what is a sign of a fault; strobe: (sets,) log density of the readings, None where there are none that weigh."""

    model: Model
    case: Case
    log_weight: Floats
    signs: Factors
    strobe: Floats | None

    def weight(self) -> Floats:
        """(sets,) the chance of each set of faults; they add up to 1."""
        return self._weight

    @cached_property
    def _weight(self) -> Floats:
        weight: Floats = np.exp(self.log_weight - self.log_weight.max())
        weight /= weight.sum()
        weight.setflags(write=False)
        return weight

    def others(self) -> Factors:
        """What moved the weights besides the signs: the machine's story and the strobe readings."""
        found = _story_factors(self.model, self.case)
        if self.strobe is not None:
            found |= _strobe_factors(self.model, self.case, self.strobe)
        return Factors(tuple(found), np.array(list(found.values())).reshape(len(found), len(self.log_weight)))


def gather(model: Model, case: Case) -> Evidence:
    """All that the case says, as factors on the sets of faults. What is missing or unsure is no factor."""
    log_weight = log_prior(model, case.machine, case.booked, story_of(model, case))
    signs = _signs(model, case)
    for first in range(0, len(signs.labels), AT_A_TIME):
        log_weight -= np.log(np.multiply.reduce(signs.undo[first : first + AT_A_TIME], axis=0))
    strobe = log_strobe(model, case.machine, case.number(IDLE), case.number(PEAK))
    if strobe is not None:
        log_weight += strobe
    return Evidence(model, case, log_weight, signs, strobe)


def _signs(model: Model, case: Case) -> Factors:
    told = [
        (f"{question}={answer}", model.row[question, answer])
        for question, answer in case.answers.items()
        if isinstance(answer, str) and question != REV_OUT and (question, answer) in model.row
    ]
    labels, rows = [label for label, _ in told], [row for _, row in told]
    rev_out = rev_out_factor(model, case)
    undo = np.empty((len(rows) + (rev_out is not None), len(model.has)))
    model.undo.take(rows, axis=0, out=undo[: len(rows)], mode="clip")
    if rev_out is not None:
        label, chances = rev_out
        labels.append(label)
        np.divide(1.0, chances, out=undo[len(rows)])
    return Factors(tuple(labels), undo)


def story_of(model: Model, case: Case) -> dict[str, tuple[str, ...]]:
    """The answers that move the base rates, each as a tuple of answer ids."""
    told = {}
    for question in model.story:
        answer = case.answers.get(question)
        if answer is not None and not isinstance(answer, float):
            told[question] = (answer,) if isinstance(answer, str) else answer
    return told


def heard_of(model: Model, case: Case) -> Floats | None:
    """How well the clip goes with each thing the rev-out may have shown; None where there is none that weighs."""
    if case.heard is None or REV_OUT not in model.shown:
        return None
    return heard_chances(model.bank.hearing, case.machine, case.heard, model.bank.question(REV_OUT).answer_ids)


def rev_out_chances(model: Model, answer: str | None, heard: Floats | None) -> Floats:
    """(sets,) chance of the owner's word and of the clip together: one test, seen twice.

    What the test showed is one hidden thing; word and clip each tell of it with their own errors, so both together
    can never say more than having seen it.
    """
    question = model.bank.question(REV_OUT)
    tells = np.ones(len(question.answer_ids)) if heard is None else heard.copy()
    if answer is not None:
        tells *= [question.said[shown][answer] for shown in question.answer_ids]
    return np.asarray(tells @ model.shown[REV_OUT])


def rev_out_factor(model: Model, case: Case) -> tuple[str, Floats] | None:
    """The rev-out as the owner told it and as the clip gave it, as one: its label and (sets,) its chance; None where
    neither is there."""
    heard = heard_of(model, case)
    answer = case.answers.get(REV_OUT)
    if REV_OUT not in model.shown or (answer is None and heard is None):
        return None
    word = answer if isinstance(answer, str) else None
    labels = [f"{REV_OUT}={word}"] if word is not None else []
    if heard is not None and case.heard is not None:
        labels.append(f"heard={case.heard.verdict}")
    return "+".join(labels), rev_out_chances(model, word, heard)


def _story_factors(model: Model, case: Case) -> dict[str, Floats]:
    story, traits = story_of(model, case), case.machine.traits | {case.booked}
    factors, now = {}, story_weight(model, traits, story)
    for question, told in story.items():
        for one in told:
            rest = tuple(other for other in told if other != one)
            left = {other: answer for other, answer in story.items() if other != question}
            without = story_weight(model, traits, left | ({question: rest} if rest else {}))
            factors[f"{question}={one}"] = without / now
    return factors


def _strobe_factors(model: Model, case: Case, both: Floats) -> dict[str, Floats]:
    factors = {}
    idle, peak = case.number(IDLE), case.number(PEAK)
    for question, reading, left in ((IDLE, idle, (None, peak)), (PEAK, peak, (idle, None))):
        if reading is None:
            continue
        without = log_strobe(model, case.machine, *left)
        factors[f"{question}={said(reading)}"] = np.exp(-both if without is None else without - both)
    return factors
