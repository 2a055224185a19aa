"""What there is to do on the bench, cached for a bank, and the chance that a fault is left after some of it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray

from diagnostics.core.arrays import Float64s, Indices
from diagnostics.core.bank.bank import Bank, BankStep
from diagnostics.core.judging.inference import sets_of_faults

Masks = NDArray[np.int64]  # sets of steps, or of places in an order, a bit each
TINY = 1e-30  # used instead of a chance of 0, so that minutes still decide which is better


@dataclass(frozen=True, eq=False)
class Bench:
    """minutes: (steps,). access: (steps,) the index of the cover that must come off first, −1 for none;
    access_minutes: for each cover. leaves: (steps, faults) chance that the step leaves the fault. has: (sets, faults)
    1.0 if the set has the fault. at_once: if the sets are those of `sets_of_faults`, the most faults in one; else 0.
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
        """(steps, faults): 1.0 if the step may clear the fault."""
        return np.asarray(self.leaves < 1.0, dtype=np.float64)

    @cached_property
    def shared(self) -> Indices:
        """Steps that look for several faults."""
        return np.flatnonzero(self.looks.sum(axis=1) > 1)


def bench_of(bank: Bank) -> Bench:
    """The bank's steps; banks that differ only in base rates share them."""
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
    """(n,): chance that a fault is left, summed set by set. weight: (sets,) chance of each set; leaves: (n, faults)
    chance that each fault is left if it was there."""
    cleared = np.log(np.maximum(1.0 - leaves, TINY))
    none_left = np.exp(cleared @ bench.has.T) @ weight
    return np.asarray(np.maximum(weight.sum() - none_left, 0.0))
