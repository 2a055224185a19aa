"""What there is to do on the bench, and how things stand after some of it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

import numpy as np

from diagnostics.core.inference import Floats

LeftOf = Callable[[Floats], Floats]  # (n, faults) as in `chance_left` to (n,) chances
TINY = 1e-30  # stands for a chance of 0 under a logarithm


@dataclass(frozen=True, eq=False)
class Facts:
    """What follows from the steps alone, kept for a bank. finds: (steps, faults) chance that the step clears the
    fault; looks: 1.0 where it may; spares: (steps, steps) 1.0 where the second, done first, leaves the first nothing to
    find; listed: per step the faults it may clear; finders: per fault the steps that may clear it.
    """

    finds: Floats
    looks: Floats
    spares: Floats
    shared: tuple[int, ...]
    listed: tuple[tuple[tuple[int, float], ...], ...]
    finders: tuple[tuple[int, ...], ...]


def facts_of(leaves: Floats) -> Facts:
    """leaves: (steps, faults) chance that the step leaves the fault."""
    looks, clears = leaves < 1.0, leaves <= 0.0
    spares = np.all(~looks[:, None, :] | clears[None, :, :], axis=2)
    listed = tuple(tuple((int(f), float(1.0 - row[f])) for f in np.flatnonzero(row < 1.0)) for row in leaves)
    finders = tuple(tuple(np.flatnonzero(column).tolist()) for column in looks.T)
    shared = tuple(step for step, found in enumerate(listed) if len(found) > 1)
    return Facts(1.0 - leaves, looks.astype(np.float64), spares.astype(np.float64), shared, listed, finders)


NO_FACTS = facts_of(np.ones((0, 0)))


@dataclass(frozen=True, eq=False)
class Work:
    """minutes: (steps,); access: per step the index of what must come off first, −1 for nothing; access_minutes: for
    each of these; leaves: (steps, faults) chance that the step leaves the fault; has: (sets, faults) 1.0 where the set
    holds the fault; weight: (sets,) chance of each set; facts: of these steps; found out where not given.
    """

    minutes: Floats
    access: Sequence[int]
    access_minutes: Floats
    leaves: Floats
    has: Floats
    weight: Floats
    facts: Facts = field(default=NO_FACTS, repr=False)

    def __post_init__(self) -> None:
        if self.facts is NO_FACTS:
            object.__setattr__(self, "facts", facts_of(self.leaves))


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
