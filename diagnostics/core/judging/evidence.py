"""From a case to the weight of every set of faults, one factor per finding so that each can be left out again."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from diagnostics.core.arrays import Float64s
from diagnostics.core.findings import Case, said
from diagnostics.core.judging.heard_chances import heard_chances
from diagnostics.core.judging.inference import Model, log_prior, story_weight
from diagnostics.core.judging.strobe_chances import combinations_of, log_strobe_by_combination

REV_OUT = "rev_out"
IDLE, PEAK = "strobe_idle", "strobe_peak"


@dataclass(frozen=True, eq=False)
class Factors:
    """What is known. labels: "id=value" of each item; undo: (items, sets) the factor by which leaving the item out
    multiplies the weight of each set; for strobe readings (items, combinations of the faults that move the timing).
    """

    labels: tuple[str, ...]
    undo: Float64s


@dataclass(frozen=True, eq=False)
class Evidence:
    """The likelihood of a case for each set of faults. log_weight: (sets,) unnormalised log posterior. signs:
    "id=value" to the model's row, for each answer that is a sign. rev_out: label and (sets,) likelihood if there is a
    clip of the rev-out, which no table covers. strobe: (combinations of the faults that move the timing,) log density
    of the readings, or None if none carries weight.
    """

    model: Model
    case: Case
    log_weight: Float64s
    signs: Mapping[str, int]
    rev_out: tuple[str, Float64s] | None
    strobe: Float64s | None

    def weight(self) -> Float64s:
        """(sets,) posterior chance of each set of faults; they add up to 1."""
        return self._weight

    @cached_property
    def _weight(self) -> Float64s:
        weight: Float64s = np.exp(self.log_weight - self.log_weight.max())
        weight /= weight.sum()
        weight.setflags(write=False)
        return weight

    def labels(self) -> tuple[str, ...]:
        """Everything that changed the weights, as "id=value": signs, the machine's story and the strobe readings."""
        rev_out = (self.rev_out[0],) if self.rev_out is not None else ()
        story = [f"{question}={one}" for question, given in story_of(self.model, self.case).items() for one in given]
        return (*self.signs, *rev_out, *story, *strobe_factors(self).labels)


def gather(model: Model, case: Case) -> Evidence:
    """Everything the case says, as factors on the sets of faults. A missing or unsure answer adds no factor."""
    log_weight = log_prior(model, case.machine, case.booked, story_of(model, case))
    heard = heard_of(model, case)
    signs = {
        f"{question}={answer}": model.row[question, answer]
        for question, answer in case.answers.items()
        if isinstance(answer, str) and (question, answer) in model.row and (question != REV_OUT or heard is None)
    }
    for row in signs.values():
        log_weight += model.log_chance[row]
    rev_out = None if heard is None else _with_a_clip(model, case, heard)
    if rev_out is not None:
        log_weight += np.log(rev_out[1])
    strobe = log_strobe_by_combination(model, case.machine, case.number(IDLE), case.number(PEAK))
    if strobe is not None:
        log_weight += strobe.take(combinations_of(model))
    return Evidence(model, case, log_weight, signs, rev_out, strobe)


def story_of(model: Model, case: Case) -> dict[str, tuple[str, ...]]:
    """The answers that change the base rates, each as a tuple of answer ids."""
    story = {}
    for question in model.story:
        answer = case.answers.get(question)
        if answer is not None and not isinstance(answer, float):
            story[question] = (answer,) if isinstance(answer, str) else answer
    return story


def heard_of(model: Model, case: Case) -> Float64s | None:
    """(answers,) likelihood of the clip for each thing the rev-out may have shown; None if it carries no weight."""
    if case.heard is None or REV_OUT not in model.shown:
        return None
    return heard_chances(model.bank.hearing, case.machine, case.heard, model.bank.question(REV_OUT).answer_ids)


def rev_out_chances(model: Model, answer: str | None, heard: Float64s | None) -> Float64s:
    """(sets,) joint likelihood of the owner's answer and the clip: one test, observed twice.

    What the test really showed is a hidden variable. Answer and clip each report it with their own errors, so both
    together can never be stronger than seeing the test.
    """
    question = model.bank.question(REV_OUT)
    tells = np.ones(len(question.answer_ids)) if heard is None else heard.copy()
    if answer is not None:
        tells *= [question.said[shown][answer] for shown in question.answer_ids]
    return np.asarray(tells @ model.shown[REV_OUT])


def _with_a_clip(model: Model, case: Case, heard: Float64s) -> tuple[str, Float64s]:
    """The clip and, if there is one, the owner's answer as a single finding: label and (sets,) likelihood."""
    answer = case.answers.get(REV_OUT)
    word = answer if isinstance(answer, str) else None
    clip = f"heard={case.heard.verdict}" if case.heard is not None else ""
    return f"{REV_OUT}={word}+{clip}" if word is not None else clip, rev_out_chances(model, word, heard)


def story_factors(model: Model, traits: frozenset[str], story: Mapping[str, tuple[str, ...]]) -> Factors:
    """Each thing that was changed, separately, and how the trouble came. undo: (items, sets)."""
    factors, now = dict[str, Float64s](), story_weight(model, traits, story)
    for question, given in story.items():
        for one in given:
            rest = tuple(other for other in given if other != one)
            left = {other: answer for other, answer in story.items() if other != question}
            without = story_weight(model, traits, left | ({question: rest} if rest else {}))
            factors[f"{question}={one}"] = without / now
    return Factors(tuple(factors), np.array(list(factors.values())).reshape(len(factors), len(now)))


def strobe_factors(evidence: Evidence) -> Factors:
    """Each reading separately. undo: (readings, combinations of the faults that move the timing)."""
    model, case, both = evidence.model, evidence.case, evidence.strobe
    if both is None:
        return Factors((), np.empty((0, int(combinations_of(model).max()) + 1)))
    labels, undo = [], []
    idle, peak = case.number(IDLE), case.number(PEAK)
    for question, reading, left in ((IDLE, idle, (None, peak)), (PEAK, peak, (idle, None))):
        if reading is None:
            continue
        without = log_strobe_by_combination(model, case.machine, *left)
        labels.append(f"{question}={said(reading)}")
        undo.append(np.exp(-both if without is None else without - both))
    return Factors(tuple(labels), np.array(undo))
