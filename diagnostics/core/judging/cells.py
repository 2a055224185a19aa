"""All the sums of a judgement over the sets of faults, computed together.

Routes, groups, reasons and the worth of questions depend on two things in a set of faults: which groups it has a fault
from, and which visits it spoils. Sets that agree in both form a cell. Every quantity is then a sum over cells of sums
within them. So one table, with a row for each quantity, is multiplied cell by cell with the weights of several cases.
All terms are positive, and the two sides of an odds are summed separately.

Cases are always multiplied `AT_ONCE` at a time, padded with zeros. The matrix library's order of addition depends on
the shape, and a case must give the same last digit alone and among others.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from itertools import pairwise

import numpy as np

from diagnostics.core.arrays import Float64s, Indices
from diagnostics.core.bank.bank import GROUPS, NOTHING_WRONG, VISIT_KINDS
from diagnostics.core.judging.inference import Model
from diagnostics.core.judging.routing import Odds, rich_mask, spoils_mask
from diagnostics.core.judging.strobe_chances import combinations_of

AT_ONCE = 16
WHOLE_ROWS = 48  # rows left over from what a matrix library takes at a time would be added up in another order
TOWARDS = (*GROUPS, NOTHING_WRONG)


@dataclass(frozen=True, eq=False)
class Cells:
    """order: (sets,) the sets, cell by cell; begins: (cells,) where each cell starts in it. inside: (cells, groups and
    nothing wrong), and spoilt: visit kind to (cells,), are 1.0 where it holds for the cell's sets. table: (rows, sets
    in order) one row each for: the set itself; rich; each visit kind spoilt by something other than jetting; each
    fault; each combination of faults that move the timing; each answer's chance; and one over that chance. The slices
    say which rows are which.
    """

    order: Indices
    begins: Indices
    inside: Float64s
    spoilt: Mapping[str, Float64s]
    table: Float64s
    otherwise: slice
    faults: slice
    combinations: slice
    chance: slice
    undo: slice

    @cached_property
    def bounds(self) -> list[tuple[int, int]]:
        """Start and end of each cell in the order."""
        ends = [*self.begins[1:].tolist(), len(self.order)]
        return list(zip(self.begins.tolist(), ends, strict=True))


@dataclass(frozen=True, eq=False)
class Sums:
    """The sums of one case. weight: (sets in order); by_row: (cells, rows) sum over the cell's sets of weight times the
    row; in_all: (rows up to the faults) the same over all cells.
    """

    cells: Cells
    weight: Float64s
    by_row: Float64s
    in_all: Float64s
    _by_answer: dict[str, Float64s] = field(default_factory=dict, init=False)

    @property
    def mass(self) -> Float64s:
        """(cells,) chance of each cell."""
        return self.by_row[:, 0]

    def fault_chances(self) -> Float64s:
        """(faults,) chance of each fault."""
        return np.asarray(self.in_all[self.cells.faults].clip(0.0, 1.0))

    def group_chances(self) -> dict[str, float]:
        """Chance of at least one fault from each group, and of no fault at all."""
        return dict(zip(TOWARDS, (self.mass @ self.cells.inside).clip(0.0, 1.0).tolist(), strict=True))

    def odds(self, booked: str) -> Odds:
        """The chances that decide the route."""
        rich, *otherwise = self.in_all[1 : self.cells.otherwise.stop].tolist()
        return Odds(self.spoilt_chance(booked), otherwise[VISIT_KINDS.index(booked)], rich)

    def spoilt_chance(self, booked: str) -> float:
        """Chance that such a visit is spoilt."""
        return float(self.mass @ self.cells.spoilt[booked])

    def with_answers(self, booked: str) -> Float64s:
        """(answers, 2): chance of each answer, and of that answer with a spoilt visit; answers in the model's rows.
        Kept, because every open question asks for it.
        """
        if booked not in self._by_answer:
            self._by_answer[booked] = np.asarray(self.by_row[:, self.cells.chance].T @ self._spoilt_too(booked))
        return self._by_answer[booked]

    def with_combinations(self, booked: str) -> Float64s:
        """(combinations, 2): the same for each combination of the faults that move the timing."""
        return np.asarray(self.by_row[:, self.cells.combinations].T @ self._spoilt_too(booked))

    def without_answers(self, rows: Sequence[int]) -> Float64s:
        """(rows, cells) weights with one answer left out; rows: of the model."""
        return self.by_row[:, self.cells.undo].take(rows, axis=1).T

    def times_combinations(self, factors: Float64s) -> Float64s:
        """(n, cells) weights times factors: (n, combinations of the faults that move the timing)."""
        return np.asarray(factors @ self.by_row[:, self.cells.combinations].T)

    def times(self, factors: Float64s) -> Float64s:
        """(n, cells) weights times factors: (n, sets in order)."""
        return np.asarray(np.add.reduceat(factors * self.weight, self.cells.begins, axis=1))

    def _spoilt_too(self, booked: str) -> Float64s:
        return np.column_stack([np.ones(len(self.mass)), self.cells.spoilt[booked]])


def sums_of(model: Model, weights: Float64s) -> list[Sums]:
    """weights: (cases, sets), each case adding up to 1. A case's result does not depend on the others."""
    cells, found = cells_of(model), list[Sums]()
    for first in range(0, len(weights), AT_ONCE):
        some = weights[first : first + AT_ONCE]
        in_order = np.zeros((AT_ONCE, len(cells.order)))
        some.take(cells.order, axis=1, out=in_order[: len(some)], mode="clip")
        by_row = np.empty((len(cells.begins), AT_ONCE, len(cells.table)))
        for cell, (begin, end) in enumerate(cells.bounds):
            np.matmul(in_order[:, begin:end], cells.table[:, begin:end].T, out=by_row[cell])
        in_all = by_row[:, :, : cells.faults.stop].sum(axis=0)
        found += [Sums(cells, in_order[place], by_row[:, place], in_all[place]) for place in range(len(some))]
    return found


@lru_cache(maxsize=2)
def cells_of(model: Model) -> Cells:
    """The cells of a bank and their table. Cached, because they take some hundredths of a second to compute."""
    groups = group_masks(model)
    spoilt = np.column_stack([spoils_mask(model, kind) for kind in VISIT_KINDS])
    kinds, cell = np.unique(np.hstack([groups, spoilt]), axis=0, return_inverse=True)
    order = np.argsort(cell.reshape(-1), kind="stable")
    parts = [
        np.ones((1, len(order))),
        rich_mask(model)[None],
        np.array([spoils_mask(model, kind, jetting_too=False) for kind in VISIT_KINDS]),
        model.has.T,
        np.arange(combinations_of(model).max() + 1)[:, None] == combinations_of(model),
        model.chance,
        1.0 / model.chance,
    ]
    ends = np.cumsum([len(part) for part in parts]).tolist()
    parts.append(np.zeros((-ends[-1] % WHOLE_ROWS, len(order))))
    _, otherwise, faults, combinations, chance, undo = (slice(*ends_of) for ends_of in pairwise(ends))
    return Cells(
        order=order,
        begins=np.searchsorted(cell.reshape(-1)[order], np.arange(len(kinds))),
        inside=kinds[:, : len(TOWARDS)],
        spoilt=dict(zip(VISIT_KINDS, kinds[:, len(TOWARDS) :].T.copy(), strict=True)),
        table=np.vstack(parts)[:, order],
        otherwise=otherwise,
        faults=faults,
        combinations=combinations,
        chance=chance,
        undo=undo,
    )


@lru_cache(maxsize=8)
def group_masks(model: Model) -> Float64s:
    """(sets, groups and nothing wrong): 1.0 if the set belongs to the group."""
    faults = {group: [fault.id for fault in model.bank.faults if fault.group == group] for group in GROUPS}
    masks = [model.fault_mask(tuple(faults[group])) for group in GROUPS]
    return np.column_stack([*masks, 1.0 - model.has.any(axis=1)])
