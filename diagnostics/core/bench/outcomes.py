"""What the bench has found so far: outcomes of its steps as evidence, and what is still worth doing.

A step that was "checked, OK" showed nothing. Each set of faults is weighted by the chance of that, which is the product
over its faults of 1 − `clears`. "This was it" says that the fault was present and is put right. What the step did not
show is weighted as above, and the rest is judged given that the fault was present. What a person enters by hand, as a
cause or as OK, is taken as certain. A confirmed fault overrides an earlier OK.

Source: conditioning on the outcome of an action, as in troubleshooting after Heckerman, Breese and Rommelse
(Communications of the ACM 1995). Outcomes of steps are independent given the set of faults.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from diagnostics.core.arrays import Float64s, Indices
from diagnostics.core.bank.bank import Bank, BankStep
from diagnostics.core.bench.footing import ANY_MACHINE, BARRED, OnTheBench, repair_of, turn_of
from diagnostics.core.bench.order import best_order
from diagnostics.core.judging.inference import Model

GOOD = ""  # the outcome of a step that found nothing


@dataclass(frozen=True)
class StepOutcome:
    """step: id. fault: what it showed and put right, or GOOD if it found nothing."""

    step: str
    fault: str = GOOD


@dataclass(frozen=True)
class Found:
    """outcomes: one for each step done. causes, good: faults entered by hand as the cause, or as checked and OK."""

    outcomes: tuple[StepOutcome, ...] = ()
    causes: frozenset[str] = frozenset()
    good: frozenset[str] = frozenset()

    def confirmed(self, bank: Bank) -> tuple[str, ...]:
        """Faults that were present and are put right, in the bank's order, without any the bank does not know."""
        confirmed = self.causes | {outcome.fault for outcome in self.outcomes}
        return tuple(fault for fault in bank.fault_ids if fault in confirmed)


@dataclass(frozen=True)
class StepLeft:
    """id, do: the step. minutes: including covers that are still on. finds: chance that it shows a fault that is left.
    looks_for: those faults. repairs: what puts each of these right, with its minutes; empty if the step does."""

    id: str
    do: str
    minutes: float
    finds: float
    looks_for: tuple[str, ...]
    repairs: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True)
class Left:
    """chances: fault id to the chance that it is still present, without the confirmed. nothing_left: chance that none
    is. steps: in the best order. expected_minutes: until no fault is left. others: steps that could also find
    something, left out of the order because others do it better.
    """

    confirmed: tuple[str, ...]
    chances: Mapping[str, float]
    nothing_left: float
    steps: tuple[StepLeft, ...]
    expected_minutes: float
    others: tuple[StepLeft, ...]


def certainly_cleared(step: BankStep) -> tuple[str, ...]:
    """Faults that are ruled out if the step was OK.

    >>> certainly_cleared(BankStep("float", "Float height", 10, "", {"rich-otherwise": 1.0, "fuel-starved": 0.8}))
    ('rich-otherwise',)
    """
    return tuple(fault for fault, chance in step.clears.items() if chance >= 1.0)


def what_is_left(model: Model, log_weight: Float64s, found: Found, standing: OnTheBench = ANY_MACHINE) -> Left:
    """What is still present, and the best order of the steps not done; covers already off count as off.

    log_weight: (sets,) logarithm of each set's weight before the bench began, on any scale. standing: what kind of
    machine it is, and whether it must not be run.
    """
    bank, confirmed = model.bank, found.confirmed(model.bank)
    weight = _without_confirmed(model, weight_after(model, log_weight, found), confirmed)
    chances = (weight @ model.has).clip(0.0, 1.0)
    possible = frozenset(fault for fault, chance in zip(bank.fault_ids, chances, strict=True) if chance > 0.0)
    rest = _model_of_the_rest(model, frozenset(step.id for step in _done(bank, found)), possible)
    order, minutes = best_order(rest, weight, standing=standing) if rest.bank.steps else ((), 0.0)
    ordered = [rest.bank.steps[one.step] for one in order]
    left_out = [step for step in rest.bank.steps if step not in ordered and turn_of(step, standing) != BARRED]
    told = _Told(rest.bank, standing, possible)
    return Left(
        confirmed=confirmed,
        chances={f: float(p) for f, p in zip(bank.fault_ids, chances, strict=True) if f not in confirmed},
        nothing_left=float(np.clip(weight @ (1.0 - model.has.max(axis=1)), 0.0, 1.0)),
        steps=tuple(told.step(step, one.minutes, one.finds) for step, one in zip(ordered, order, strict=True)),
        expected_minutes=minutes,
        others=tuple(told.step(step, _minutes_alone(rest.bank, step), _finds(rest, step, weight)) for step in left_out),
    )


def weight_after(model: Model, log_weight: Float64s, found: Found) -> Float64s:
    """(sets,) the chance that each set was present when the bench began, given what it found; they add up to 1.

    If more faults are confirmed than the model allows at once, the sets that hold most of them are used.
    """
    confirmed = found.confirmed(model.bank)
    weighed = log_weight + _log_outcomes(model, found, confirmed)
    held = model.has @ _among(model.bank, confirmed)
    weighed = np.where(held >= held.max(), weighed, -np.inf)
    weight = np.exp(weighed - weighed.max())
    return np.asarray(weight / weight.sum())


def _log_outcomes(model: Model, found: Found, confirmed: Collection[str]) -> Float64s:
    """(sets,) log chance of everything that was OK; confirmed faults are not part of this."""
    bank = model.bank
    leaves = np.ones(len(bank.faults))
    for step in _done(bank, found):
        leaves *= [1.0 - step.clears.get(fault, 0.0) for fault in bank.fault_ids]
    leaves = np.where(_among(bank, found.good) > 0.0, 0.0, leaves)
    leaves = np.where(_among(bank, confirmed) > 0.0, 1.0, leaves)
    is_out = model.has @ (leaves <= 0.0).astype(np.float64) > 0.0
    likely = model.has @ np.log(np.where(leaves > 0.0, leaves, 1.0))
    return np.where(is_out, -np.inf, likely)


def _among(bank: Bank, fault_ids: Collection[str]) -> Float64s:
    return np.array([float(fault in fault_ids) for fault in bank.fault_ids])


def _done(bank: Bank, found: Found) -> tuple[BankStep, ...]:
    """Only steps that the bank knows."""
    done = {outcome.step for outcome in found.outcomes}
    return tuple(step for step in bank.steps if step.id in done)


def _without_confirmed(model: Model, weight: Float64s, confirmed: Collection[str]) -> Float64s:
    """(sets,) chance that exactly this set is left once the confirmed faults are put right."""
    codes, by_code = _codes(model)
    bits = 2.0 ** np.arange(model.has.shape[1])
    rest = (model.has * (1.0 - _among(model.bank, confirmed))) @ bits
    place = by_code[np.searchsorted(codes[by_code], rest)]
    return np.asarray(np.bincount(place, weights=weight, minlength=len(weight)), dtype=np.float64)


@lru_cache(maxsize=8)
def _codes(model: Model) -> tuple[Float64s, Indices]:
    """(sets,) each set as a number, and the order that sorts them; a subset of a set is a set too."""
    codes = model.has @ 2.0 ** np.arange(model.has.shape[1])
    return codes, np.argsort(codes)


@lru_cache(maxsize=32)
def _model_of_the_rest(model: Model, done: frozenset[str], possible: frozenset[str]) -> Model:
    """The same faults, with only the steps not done that can find something, each with what it still can find; covers
    already off cost no minutes.
    """
    is_open = frozenset(step.access for step in model.bank.steps if step.id in done and step.access)
    steps = tuple(
        _rest_of(step, is_open, possible)
        for step in model.bank.steps
        if step.id not in done and not possible.isdisjoint(step.clears)
    )
    return replace(model, bank=replace(model.bank, steps=steps))


def _rest_of(step: BankStep, is_open: frozenset[str], possible: frozenset[str]) -> BankStep:
    """The step itself if all of it is left, so that what is cached for it is found again."""
    if step.access not in is_open and possible.issuperset(step.clears):
        return step
    clears = {fault: chance for fault, chance in step.clears.items() if fault in possible}
    return replace(step, access="" if step.access in is_open else step.access, clears=clears)


@dataclass(frozen=True)
class _Told:
    """possible: the faults that may be left."""

    bank: Bank
    standing: OnTheBench
    possible: frozenset[str]

    def step(self, step: BankStep, minutes: float, finds: float) -> StepLeft:
        looks_for = tuple(fault for fault in step.clears if fault in self.possible)
        known = [self.bank.repairs[fault] for fault in looks_for if fault in self.bank.repairs]
        repairs = tuple(repair_of(repair, self.standing) for repair in known)
        return StepLeft(step.id, step.do, minutes, finds, looks_for, repairs)


def _minutes_alone(bank: Bank, step: BankStep) -> float:
    return step.minutes + (bank.access_minutes[step.access] if step.access else 0.0)


def _finds(model: Model, step: BankStep, weight: Float64s) -> float:
    leaves = np.array([1.0 - step.clears.get(fault, 0.0) for fault in model.bank.fault_ids])
    finds_nothing = np.where(model.has > 0.0, leaves, 1.0).prod(axis=1)
    return float(np.clip(1.0 - finds_nothing @ weight, 0.0, 1.0))
