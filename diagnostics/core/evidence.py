"""From a case to the weight of every set of faults, factor by factor, so that each can be left out again."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from diagnostics.core.findings import Case, said
from diagnostics.core.heard_chances import heard_chances
from diagnostics.core.inference import Floats, Model, log_prior
from diagnostics.core.strobe_chances import log_strobe

REV_OUT = "rev_out"
IDLE, PEAK = "strobe_idle", "strobe_peak"


@dataclass(frozen=True, eq=False)
class Factor:
    """One thing known. label: "id=value"; gain: (sets,) what the log weight has over the same case without it."""

    label: str
    gain: Floats


@dataclass(frozen=True, eq=False)
class Evidence:
    """log_weight: (sets,) logarithm of the weight of each set, not scaled; factors: everything that moved it."""

    log_weight: Floats
    factors: tuple[Factor, ...]

    def weight(self) -> Floats:
        """(sets,) the chance of each set of faults; they add up to 1."""
        weight = np.exp(self.log_weight - self.log_weight.max())
        return np.asarray(weight / weight.sum())


def gather(model: Model, case: Case) -> Evidence:
    """All that the case says, as factors on the sets of faults. What is missing or unsure is no factor."""
    story = story_of(model, case)
    log_weight = log_prior(model, case.machine, case.booked, story).copy()
    factors = _story_factors(model, case, story, log_weight)
    signs = [
        Factor(f"{question}={said(answer)}", model.log_chance[model.row[question, answer]])
        for question, answer in case.answers.items()
        if isinstance(answer, str) and question != REV_OUT and (question, answer) in model.row
    ]
    rev_out = rev_out_factor(model, case)
    signs += [rev_out] if rev_out is not None else []
    for factor in signs:
        log_weight += factor.gain
    strobe = log_strobe(model, case.machine, case.number(IDLE), case.number(PEAK))
    if strobe is not None:
        log_weight += strobe
        factors += _strobe_factors(model, case, strobe)
    return Evidence(log_weight, tuple(factors + signs))


def story_of(model: Model, case: Case) -> dict[str, tuple[str, ...]]:
    """The answers that move the base rates, each as a tuple of answer ids."""
    told = {}
    for question in model.bank.questions:
        answer = case.answers.get(question.id)
        if question.is_story and answer is not None and not isinstance(answer, float):
            told[question.id] = (answer,) if isinstance(answer, str) else answer
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


def rev_out_factor(model: Model, case: Case) -> Factor | None:
    """The rev-out as the owner told it and as the clip gave it, as one factor; None where neither is there."""
    heard = heard_of(model, case)
    answer = case.answers.get(REV_OUT)
    if REV_OUT not in model.shown or (answer is None and heard is None):
        return None
    word = answer if isinstance(answer, str) else None
    labels = [f"{REV_OUT}={word}"] if word is not None else []
    if heard is not None and case.heard is not None:
        labels.append(f"heard={case.heard.verdict}")
    return Factor("+".join(labels), np.log(rev_out_chances(model, word, heard)))


def _story_factors(model: Model, case: Case, story: dict[str, tuple[str, ...]], prior: Floats) -> list[Factor]:
    factors = []
    for question, told in story.items():
        for one in told:
            rest = tuple(other for other in told if other != one)
            left = {other: answer for other, answer in story.items() if other != question}
            without = left | ({question: rest} if rest else {})
            gain = prior - log_prior(model, case.machine, case.booked, without)
            factors.append(Factor(f"{question}={one}", gain))
    return factors


def _strobe_factors(model: Model, case: Case, both: Floats) -> list[Factor]:
    factors = []
    idle, peak = case.number(IDLE), case.number(PEAK)
    for question, reading, left in ((IDLE, idle, (None, peak)), (PEAK, peak, (idle, None))):
        if reading is None:
            continue
        without = log_strobe(model, case.machine, *left)
        factors.append(Factor(f"{question}={said(reading)}", both if without is None else both - without))
    return factors
