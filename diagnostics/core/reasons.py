"""Which answers moved the judgement, by leaving each out: the log of the odds ratio that this would undo."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from diagnostics.core.bank import GROUPS, NOTHING_WRONG
from diagnostics.core.evidence import Evidence
from diagnostics.core.inference import Floats, Model

LEAST_WEIGHT = 0.1  # from the contract of assess
TOWARDS = (*GROUPS, NOTHING_WRONG)
TINY = 1e-300  # keeps a logarithm finite where a chance is below what a double holds


@dataclass(frozen=True)
class Reason:
    """answer: "id=value"; towards: the group whose log odds it moves most; weight: by how much, negative = against."""

    answer: str
    towards: str
    weight: float


def reasons(model: Model, evidence: Evidence) -> tuple[Reason, ...]:
    """The answers that move some group's log odds by more than 0.1, strongest first.

    Source: weight of evidence by leaving one out (Good 1950; from memory), as the contract of assess states it.
    """
    if not evidence.factors:
        return ()
    without = evidence.log_weight - np.array([factor.gain for factor in evidence.factors])
    moved = _log_odds(model, evidence.log_weight[None, :]) - _log_odds(model, without)  # (factors, groups)
    found = []
    for factor, row in zip(evidence.factors, moved, strict=True):
        most = int(np.argmax(np.abs(row)))
        if abs(row[most]) > LEAST_WEIGHT:
            found.append(Reason(factor.label, TOWARDS[most], float(row[most])))
    return tuple(sorted(found, key=lambda reason: (-abs(reason.weight), reason.answer)))


def group_chances(model: Model, weight: Floats) -> Mapping[str, float]:
    """Chance that at least one fault of each group is present, and that none of any is. weight: (sets,), sum 1."""
    return {group: float(chance) for group, chance in zip(TOWARDS, weight @ group_masks(model), strict=True)}


@lru_cache(maxsize=8)
def group_masks(model: Model) -> Floats:
    """(sets, groups and nothing wrong): 1.0 where the set belongs to it."""
    faults = {group: [fault.id for fault in model.bank.faults if fault.group == group] for group in GROUPS}
    masks = [model.fault_mask(tuple(faults[group])) for group in GROUPS]
    return np.column_stack([*masks, 1.0 - model.has.any(axis=1)])


def _log_odds(model: Model, log_weight: Floats) -> Floats:
    """(cases, groups) log odds; both sides summed by themselves, so that neither is lost beside the other."""
    weight = np.exp(log_weight - log_weight.max(axis=1, keepdims=True))
    masks = group_masks(model)
    inside, outside = weight @ masks, weight @ (1.0 - masks)
    return np.asarray(np.log(np.maximum(inside, TINY)) - np.log(np.maximum(outside, TINY)))
