"""The least expected minutes on a whole bench, exactly: over everything that may have been done.

Steps that share faults make a part; a part knows few ways in which it may stand, since what clears a fault for certain
leaves nothing to those after it. All parts together may have a million ways or so, and each is looked at: the bank has
45 thousand million since its second edition, so it is cut down to some of its faults. The chances come
from a table of all sets of faults, part by part, not from the product's sums.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from itertools import product

import numpy as np

from diagnostics.core.arrays import Float64s, Indices
from diagnostics.core.bank.bank import Bank, Fault
from diagnostics.core.bench.work import Bench


@dataclass
class Stand:
    """How a part stands: leaves, per fault of the part; done, one way to it; then: step to the index of how it stands
    after it; most: the most steps of any way to it."""

    leaves: Float64s
    done: frozenset[int]
    then: dict[int, int] = field(default_factory=dict)
    most: int = 0


@dataclass
class Part:
    faults: list[int]
    stands: list[Stand]


class WholeBank:
    def __init__(self, bench: Bench) -> None:
        self.bench = bench
        self.parts = [_part(bench, faults) for faults in _faults_together(bench)]
        self.shape = tuple(len(part.stands) for part in self.parts)
        self.digit = np.indices(self.shape).reshape(len(self.parts), -1)
        most = [np.array([stand.most for stand in part.stands]) for part in self.parts]
        self.done = np.sum([most[at][digit] for at, digit in enumerate(self.digit)], axis=0)
        self.moves = [self._moves(np.flatnonzero(self.done == number)) for number in range(self.done.max() + 1)]

    def _moves(self, states: Indices) -> tuple[Indices, list[tuple[Indices, Indices, Float64s]]]:
        """States, and for each step the places of those it may follow, the states after it and its minutes there."""
        moves = []
        strides = [int(np.prod(self.shape[at + 1 :])) for at in range(len(self.parts))]
        for at, part in enumerate(self.parts):
            for index, stand in enumerate(part.stands):
                here = np.flatnonzero(self.digit[at, states] == index)
                for step, then in stand.then.items():
                    minutes = self.bench.minutes[step] + self._cover_minutes(step, states[here])
                    moves.append((here, states[here] + (then - index) * strides[at], minutes))
        return states, [move for move in moves if len(move[0])]

    def _cover_minutes(self, step: int, states: Indices) -> Float64s:
        cover = self.bench.access[step]
        if cover < 0:
            return np.zeros(len(states))
        is_off = np.zeros(len(states), dtype=bool)
        for at, part in enumerate(self.parts):
            off = np.array([any(self.bench.access[one] == cover for one in stand.done) for stand in part.stands])
            is_off |= off[self.digit[at, states]]
        return np.asarray(np.where(is_off, 0.0, self.bench.access_minutes[cover]))

    def left(self, weight: Float64s) -> Float64s:
        """(states,): chance that a fault is left. weight: (sets,)."""
        table = np.zeros([2 ** len(part.faults) for part in self.parts])
        cells = tuple(self.bench.has[:, p.faults].astype(int) @ (1 << np.arange(len(p.faults))) for p in self.parts)
        np.add.at(table, cells, weight)
        for axis, part in enumerate(self.parts):
            bits = list(product((0, 1), repeat=len(part.faults)))
            cleared = np.array(
                [
                    [np.prod([1 - x for x, b in zip(s.leaves, reversed(b_), strict=True) if b]) for b_ in bits]
                    for s in part.stands
                ]
            )
            table = np.moveaxis(np.tensordot(cleared, table, axes=(1, axis)), 0, axis)
        return np.asarray(np.maximum(weight.sum() - table.ravel(), 0.0))

    def least_minutes(self, weight: Float64s) -> float:
        left, to_come = self.left(weight), np.zeros(len(self.done))
        for states, moves in reversed(self.moves[:-1]):
            least = np.full(len(states), np.inf)
            for here, then, minutes in moves:
                least[here] = np.minimum(least[here], minutes * left[states[here]] + to_come[then])
            to_come[states] = np.where(np.isinf(least), 0.0, least)
        return float(to_come[0])


def _faults_together(bench: Bench) -> list[list[int]]:
    together = [{fault} for fault in range(bench.leaves.shape[1])]
    for of_step in bench.leaves:
        seen = set(np.flatnonzero(of_step < 1.0).tolist())
        touched = [faults for faults in together if faults & seen]
        together = [faults for faults in together if not faults & seen] + [set().union(*touched)]
    return [sorted(faults) for faults in together]


def _part(bench: Bench, faults: list[int]) -> Part:
    """All ways in which the part may stand; those with all cleared and the same covers off are one."""
    steps = [step for step, of_step in enumerate(bench.leaves) if np.any(of_step[faults] < 1.0)]
    stands = [Stand(np.ones(len(faults)), frozenset())]
    index = {_key(bench, stands[0]): 0}
    for stand in stands:  # grows while it is gone through
        for step in steps:
            of_step = bench.leaves[step, faults]
            if step in stand.done or not np.any(stand.leaves[of_step < 1.0] > 0.0):
                continue
            after = Stand(stand.leaves * of_step, stand.done | {step})
            if _key(bench, after) not in index:
                index[_key(bench, after)] = len(stands)
                stands.append(after)
            stand.then[step] = index[_key(bench, after)]
    for _ in steps:
        for stand in stands:
            for then in stand.then.values():
                stands[then].most = max(stands[then].most, stand.most + 1)
    return Part(faults, stands)


def _key(bench: Bench, stand: Stand) -> tuple[object, ...]:
    off = frozenset(int(bench.access[step]) for step in stand.done)
    return (off, stand.done if np.any(stand.leaves > 0.0) else None)


def with_faults(bank: Bank, is_kept: Callable[[Fault], bool]) -> Bank:
    """The bank as if it had only these faults, and the steps that look for them."""
    faults = tuple(fault for fault in bank.faults if is_kept(fault))
    kept = {fault.id for fault in faults}
    steps = tuple(
        replace(step, clears={fault: chance for fault, chance in step.clears.items() if fault in kept})
        for step in bank.steps
        if kept & set(step.clears) and not step.only_on
    )
    repairs = {fault: repair for fault, repair in bank.repairs.items() if fault in kept}
    return replace(bank, faults=faults, steps=steps, repairs=repairs)
