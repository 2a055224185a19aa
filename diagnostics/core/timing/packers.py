"""Which packers from stock bring the pickup level with the flywheel magnets: the fewest, then the nearest.

Thicknesses are converted to whole multiples of one unit, so nothing is lost to rounding. If few sums matter, a table
holds all of them. Otherwise the stock is split in two and sums of both halves are paired (Horowitz and Sahni 1974, from
memory).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

import numpy
from numpy.typing import NDArray

from garage.core.errors import BadInput
from garage.core.exact import Number, exact

WITHIN_MM = Fraction(1, 10)  # mm off level that do no harm; common practice, no source
TABLE_CELLS = 40_000_000  # cells of the table, a byte each, above which halves are paired instead
HALVES_ENTRIES = 40  # most entries for pairing halves: 2**20 sums on each side
MOST_ENTRIES = 1000
HIGHEST_MM = 1000
HEIGHT = f"a height from -{HIGHEST_MM} to {HIGHEST_MM} mm"
THICKNESS = f"a thickness above 0, at most {HIGHEST_MM} mm"

StackSums = NDArray[Any]


@dataclass(frozen=True)
class PackerStack:
    """needed_mm: magnet minus pickup. stack_mm: the packers, thickest first, or None; nearest_mm: see `packers`.

    left_over_mm: needed_mm minus the sum of the stack, or of the nearest if there is no stack.
    """

    needed_mm: float
    stack_mm: tuple[float, ...] | None
    nearest_mm: tuple[float, ...] | None
    left_over_mm: float
    means: tuple[str, ...]


def packers(pickup_mm: Number, magnet_mm: Number, packers_mm: Sequence[Number]) -> PackerStack:
    """The fewest packers whose sum is within 0.1 mm of the need; if equally few, the nearest sum, then the thinner.

    pickup_mm, magnet_mm: heights of the two middles from the same face. packers_mm: thicknesses in stock, > 0; each
    entry can be used once. If no sum is within 0.1 mm, stack_mm is None and nearest_mm has the nearest sum in the
    fewest packers. A need below -0.1 mm has no stack: the plate must come down. Raises BadInput naming the field.

    >>> packers(12.0, 13.3, [0.5, 0.5, 0.8, 1.0]).stack_mm
    (0.8, 0.5)
    """
    magnet = exact("magnet_mm", magnet_mm, HEIGHT, least=-HIGHEST_MM, most=HIGHEST_MM)
    needed = magnet - exact("pickup_mm", pickup_mm, HEIGHT, least=-HIGHEST_MM, most=HIGHEST_MM)
    stock = _stock(packers_mm)
    if needed < -WITHIN_MM:
        return PackerStack(float(needed), None, (), float(needed), (_said_of_a_high_plate(needed),))
    units = _InUnits(needed, [thick for thick in stock if thick <= 2 * needed])
    chosen = units.fewest_within(WITHIN_MM)
    if chosen is not None:
        left_over = needed - sum(chosen)
        return PackerStack(float(needed), _as_typed(chosen), None, float(left_over), _said_of_a_stack(chosen))
    nearest = units.fewest_within(units.least_distance()) or []
    left_over = needed - sum(nearest)
    return PackerStack(float(needed), None, _as_typed(nearest), float(left_over), (_said_of_none(needed, nearest),))


def _stock(packers_mm: Sequence[Number]) -> list[Fraction]:
    if not isinstance(packers_mm, list | tuple):
        raise BadInput("packers_mm", packers_mm, "a list of thicknesses in mm")
    if len(packers_mm) > MOST_ENTRIES:
        raise BadInput("packers_mm", f"{len(packers_mm)} entries", f"at most {MOST_ENTRIES} entries")
    return [
        exact(f"packers_mm[{place}]", thick, THICKNESS, above=0, most=HIGHEST_MM)
        for place, thick in enumerate(packers_mm)
    ]


def _as_typed(chosen: list[Fraction]) -> tuple[float, ...]:
    return tuple(float(thick) for thick in sorted(chosen, reverse=True))


def _said_of_a_high_plate(needed: Fraction) -> str:
    above = f"The pickup is {float(-needed):g} mm above the magnets"
    return f"{above}: the plate must come down, not up. Packers only raise it."


def _said_of_none(needed: Fraction, nearest: list[Fraction]) -> str:
    nearest_sum = f"the nearest is {float(sum(nearest)):g} mm"
    return f"No stack from stock comes within 0.1 mm of {float(needed):g} mm: {nearest_sum}."


def _said_of_a_stack(chosen: list[Fraction]) -> tuple[str, ...]:
    if not chosen:
        return ("The pickup and magnets are level to within 0.1 mm: no packer is needed.",)
    return (f"Put {float(sum(chosen)):g} mm of packers under the stator plate, then reset the timing.",)


class _InUnits:
    """The need, and the packers that can matter, as whole numbers of one unit.

    A packer over twice the need is further off than none at all, and so is any sum above that: `reach`.
    """

    def __init__(self, needed: Fraction, useful: list[Fraction]) -> None:
        self.per_mm = math.lcm(needed.denominator, WITHIN_MM.denominator, *(thick.denominator for thick in useful))
        self.needed = int(needed * self.per_mm)
        self.thick = sorted(int(thick * self.per_mm) for thick in useful)
        self.reach = max(2 * self.needed, self.needed + int(WITHIN_MM * self.per_mm), 0)
        self.is_counted = (self.reach + 1) * (len(self.thick) + 1) <= TABLE_CELLS
        if not self.is_counted and len(self.thick) > HALVES_ENTRIES:
            allowed = f"at most {HALVES_ENTRIES} entries where thicknesses have so many decimals"
            raise BadInput("packers_mm", f"{len(self.thick)} entries", allowed)
        self.sums = _CountedSums(self.thick, self.reach) if self.is_counted else _PairedSums(self.thick, self.reach)

    def fewest_within(self, tolerance_mm: Fraction) -> list[Fraction] | None:
        margin = int(tolerance_mm * self.per_mm)
        chosen = self.sums.fewest(self.needed, margin)
        return None if chosen is None else [Fraction(thick, self.per_mm) for thick in chosen]

    def least_distance(self) -> Fraction:
        return Fraction(self.sums.least_distance(self.needed), self.per_mm)


class _CountedSums:
    """A table of the fewest packers for every sum from 0 to `reach`, filled packer by packer."""

    def __init__(self, thick: list[int], reach: int) -> None:
        self.thick = thick
        self.never = len(thick) + 1
        self.fewest_for = numpy.full(reach + 1, self.never, dtype=numpy.int16)
        self.fewest_for[0] = 0
        self.is_used = numpy.zeros((len(thick), reach + 1), dtype=bool)
        for place, height in enumerate(thick):
            with_it = self.fewest_for[: reach + 1 - height] + numpy.int16(1)
            is_better = with_it < self.fewest_for[height:]
            self.is_used[place, height:] = is_better
            self.fewest_for[height:] = numpy.where(is_better, with_it, self.fewest_for[height:])

    def fewest(self, needed: int, margin: int) -> list[int] | None:
        low, high = max(0, needed - margin), min(needed + margin, len(self.fewest_for) - 1)
        counts = self.fewest_for[low : high + 1]
        if counts.size == 0 or counts.min() >= self.never:
            return None
        sums = low + numpy.flatnonzero(counts == counts.min())
        return self._making(min((int(each) for each in sums), key=lambda each: (abs(each - needed), each)))

    def least_distance(self, needed: int) -> int:
        return int(numpy.abs(numpy.flatnonzero(self.fewest_for < self.never) - needed).min())

    def _making(self, total: int) -> list[int]:
        chosen = []
        for place in range(len(self.thick) - 1, -1, -1):
            if self.is_used[place, total]:
                chosen.append(self.thick[place])
                total -= self.thick[place]
        return chosen


class _PairedSums:
    """All sums of each half of the stock, sorted, by number of packers; a total is one sum from each half."""

    def __init__(self, thick: list[int], reach: int) -> None:
        self.thick = thick
        self.halves = (thick[0::2], thick[1::2])
        does_fit = max(reach, sum(thick)) < 2**61  # otherwise Python's own integers: slower, just as exact
        dtype: Any = numpy.int64 if does_fit else object
        self.left, self.right = (_sums_by_count(half, dtype) for half in self.halves)

    def fewest(self, needed: int, margin: int) -> list[int] | None:
        for count in range(len(self.thick) + 1):
            if self._may_reach(count, needed, margin):
                best = min(self._nearest_pairs(count, needed), default=None)
                if best is not None and best[0] <= margin:
                    return self._making(*best[2:])
        return None

    def least_distance(self, needed: int) -> int:
        left = numpy.sort(numpy.concatenate([sums for sums, _ in self.left]))
        right = numpy.sort(numpy.concatenate([sums for sums, _ in self.right]))
        return min(distance for distance, *_ in _nearest(left, right, needed))

    def _may_reach(self, count: int, needed: int, margin: int) -> bool:
        thinnest, thickest = self.thick[:count], self.thick[len(self.thick) - count :]
        return sum(thinnest) <= needed + margin and sum(thickest) >= needed - margin

    def _nearest_pairs(self, count: int, needed: int) -> Iterator[tuple[int, int, int, int]]:
        """Distance, sum and the sets chosen from both halves, for each way to split the count."""
        for from_left in range(max(0, count - len(self.halves[1])), min(count, len(self.halves[0])) + 1):
            sums, chosen = self.left[from_left]
            other_sums, other_chosen = self.right[count - from_left]
            for distance, total, place, other_place in _nearest(sums, other_sums, needed):
                yield distance, total, int(chosen[place]), int(other_chosen[other_place])

    def _making(self, from_left: int, from_right: int) -> list[int]:
        return [
            height
            for half, chosen in zip(self.halves, (from_left, from_right), strict=True)
            for place, height in enumerate(half)
            if chosen >> place & 1
        ]


def _sums_by_count(half: list[int], dtype: Any) -> list[tuple[StackSums, StackSums]]:
    """For each count from 0: the sorted sums of that many packers of the half, and the sets that make them, as bits."""
    sums = numpy.zeros(1, dtype=dtype)
    counts = numpy.zeros(1, dtype=numpy.int8)
    for height in half:
        sums = numpy.concatenate([sums, sums + height])
        counts = numpy.concatenate([counts, counts + numpy.int8(1)])
    by_count = []
    for count in range(len(half) + 1):
        chosen = numpy.flatnonzero(counts == count)
        order = numpy.argsort(sums[chosen], kind="stable")
        by_count.append((sums[chosen][order], chosen[order]))
    return by_count


def _nearest(left: StackSums, right: StackSums, needed: int) -> Iterator[tuple[int, int, int, int]]:
    """Of all pairs, the nearest sum below the need and the nearest not below it: distance, sum, both places."""
    at = numpy.searchsorted(right, needed - left)
    for place in (numpy.clip(at - 1, 0, len(right) - 1), numpy.clip(at, 0, len(right) - 1)):
        totals = left + right[place]
        best = int(numpy.argmin(abs(totals - needed)))
        yield abs(int(totals[best]) - needed), int(totals[best]), best, int(place[best])
