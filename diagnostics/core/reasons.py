"""Which answers moved the judgement, by leaving each out: the log of the odds ratio that this would undo."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from itertools import product

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
    weight = _kinds(model) * evidence.weight()
    signs, others = evidence.signs, evidence.others()
    labels = (*others.labels, *signs.labels)
    if not labels:
        return ()
    without = np.vstack([factors.undo @ weight.T for factors in (others, signs) if factors.labels])
    moved = _log_odds(weight.sum(axis=1)) - _log_odds(without)  # (factors, groups)
    most = np.abs(moved).argmax(axis=1)
    found = [
        Reason(label, TOWARDS[towards], row[towards])
        for label, row, towards in zip(labels, moved.tolist(), most.tolist(), strict=True)
        if abs(row[towards]) > LEAST_WEIGHT
    ]
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


KINDS = tuple(product((False, True), repeat=len(GROUPS)))  # which groups a set of faults has a fault of
INSIDE = np.array([[*kind, not any(kind)] for kind in KINDS], dtype=np.float64)  # (kinds, groups and nothing wrong)


@lru_cache(maxsize=8)
def _kinds(model: Model) -> Floats:
    """(kinds, sets) 1.0 where the set is of the kind; each set is of one."""
    in_group = group_masks(model)[:, : len(GROUPS)].astype(bool)
    return np.array([(in_group == kind).all(axis=1) for kind in KINDS], dtype=np.float64)


def _log_odds(of_kind: Floats) -> Floats:
    """(..., groups) log odds from weights (..., kinds); both sides summed by themselves, so that neither is lost beside
    the other."""
    inside, outside = of_kind @ INSIDE, of_kind @ (1.0 - INSIDE)
    return np.asarray(np.log(np.maximum(inside, TINY)) - np.log(np.maximum(outside, TINY)))
