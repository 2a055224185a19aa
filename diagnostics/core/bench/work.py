"""What there is to do on the bench, kept for a bank, and the chance that a fault is left after some of it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray

from diagnostics.core.arrays import Float64s, Indices
from diagnostics.core.bank.bank import Bank, BankStep
from diagnostics.core.judging.inference import sets_of_faults

Masks = NDArray[np.int32]  # sets of steps, or of places in an order, one bit each
TINY = 1e-30  # stands for a chance of 0, so that minutes still tell which is better


@dataclass(frozen=True, eq=False)
class Bench:
    """minutes: (steps,); access: (steps,) the index of what must come off first, −1 for nothing; access_minutes: for
    each of these; leaves: (steps, faults) chance that the step leaves the fault; has: (sets, faults) 1.0 where the set
    holds the fault; at_once: the sets are all of at most so many faults in the order of `sets_of_faults`, 0 for others.
    """

    minutes: Float64s
    access: Indices
    access_minutes: Float64s
    leaves: Float64s
    has: Float64s
    at_once: int = 0

    @cached_property
    def finds(self) -> Float64s:
        """(steps, faults): chance that the step clears the fault."""
        return 1.0 - self.leaves

    @cached_property
    def looks(self) -> Float64s:
        """(steps, faults): 1.0 where the step may clear the fault."""
        return np.asarray(self.leaves < 1.0, dtype=np.float64)

    @cached_property
    def shared(self) -> Indices:
        """Steps that look for several faults."""
        return np.flatnonzero(self.looks.sum(axis=1) > 1)


def bench_of(bank: Bank) -> Bench:
    """The bank's steps; a bank with other base rates and the same steps shares them."""
    return _bench(bank.steps, bank.fault_ids, bank.most_at_once, tuple(bank.access_minutes.items()))


@lru_cache(maxsize=32)
def _bench(
    steps: tuple[BankStep, ...], fault_ids: tuple[str, ...], at_once: int, access: tuple[tuple[str, float], ...]
) -> Bench:
    names = [name for name, _ in access]
    return Bench(
        np.array([step.minutes for step in steps], dtype=np.float64),
        np.array([names.index(step.access) if step.access else -1 for step in steps], dtype=np.intp),
        np.array([minutes for _, minutes in access], dtype=np.float64),
        np.array([[1.0 - step.clears.get(fault, 0.0) for fault in fault_ids] for step in steps]),
        sets_of_faults(len(fault_ids), at_once),
        at_once,
    )


def chance_left(bench: Bench, weight: Float64s, leaves: Float64s) -> Float64s:
    """(n,): chance that a fault is left, set by set. weight: (sets,) chance of each set; leaves: (n, faults) chance for
    each fault that it is left if it was there."""
    cleared = np.log(np.maximum(1.0 - leaves, TINY))
    none_left = np.exp(cleared @ bench.has.T) @ weight
    return np.asarray(np.maximum(weight.sum() - none_left, 0.0))
