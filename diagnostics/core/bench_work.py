"""What there is to do on the bench, and how things stand after some of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from diagnostics.core.inference import Floats

TINY = 1e-30  # stands for a chance of 0 under a logarithm


@dataclass(frozen=True, eq=False)
class Work:
    """minutes: (steps,); access: per step the index of what must come off first, −1 for nothing; access_minutes: for
    each of these; leaves: (steps, faults) chance that the step leaves the fault; has: (sets, faults) 1.0 where the set
    holds the fault; weight: (sets,) chance of each set.
    """

    minutes: Floats
    access: Sequence[int]
    access_minutes: Floats
    leaves: Floats
    has: Floats
    weight: Floats


@dataclass(frozen=True, eq=False)
class Begun:
    """How things stand: leaves, (faults,) chance that a fault which was there is there still; what has come off."""

    leaves: Floats
    is_open: frozenset[int]

    @classmethod
    def nothing(cls, work: Work) -> Begun:
        return cls(np.ones(work.leaves.shape[1]), frozenset())

    def then(self, work: Work, step: int) -> Begun:
        return Begun(self.leaves * work.leaves[step], self.is_open | {work.access[step]})

    def is_idle(self, work: Work, step: int) -> bool:
        """Whether every fault that the step looks for is cleared for certain already."""
        return bool(np.all(self.leaves[work.leaves[step] < 1.0] <= 0.0))

    def minutes(self, work: Work, step: int) -> float:
        cover = work.access[step]
        is_on = cover >= 0 and cover not in self.is_open
        return float(work.minutes[step]) + (float(work.access_minutes[cover]) if is_on else 0.0)


def begun_after(work: Work, steps: Sequence[int]) -> Begun:
    leaves = np.prod(work.leaves[list(steps)], axis=0) if len(steps) else np.ones(work.leaves.shape[1])
    return Begun(leaves, frozenset(work.access[step] for step in steps))


def chance_left(work: Work, leaves: Floats) -> Floats:
    """(n,): chance that a fault is left. leaves: (n, faults) chance for each fault that it is left if it was there."""
    cleared = np.log(np.maximum(1.0 - leaves, TINY))
    none_left = np.exp(cleared @ work.has.T) @ work.weight
    return np.asarray(np.maximum(work.weight.sum() - none_left, 0.0))
