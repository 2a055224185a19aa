"""What each place of a spectrum counts for each firing rate: tables, made once for a kind of engine and kept."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from diagnostics.core.arrays import Bools, Float32s, Float64s

NTHS = (2, 3, 4)  # where only every n-th turn fires
BETWEEN_WEIGH = 0.5  # what stands between the teeth, against what stands on them
AROUND_WEIGH = 0.5  # and all of the band that they lie in: together as much, so noise of any colour gives nothing
AROUND_STEPS = 4  # places an order; closer than a frame's bins
SCALE = 1.1  # an engine heard well gives 1 and more
TABLES_KEPT = 32  # a table takes up to 1.5 MB; ten serve one number of firings a turn


@dataclass(frozen=True)
class Band:
    """How far up a signal's harmonics count and how many, and how its spectrum is divided."""

    lowest_hz: float
    top_hz: float
    teeth: int
    step_hz: float
    bins: int


@lru_cache(maxsize=TABLES_KEPT)
def weights(rates: tuple[float, ...], band: Band, nths: tuple[int, ...]) -> Float32s:
    """(bins, (1 + nths) · rates): level on the teeth against the level between and all around; then, for each of
    `nths`, level on the teeth that are multiples of it against the others'.
    """
    tables = [_first(rates, band)]
    for nth in nths:
        on, off, there = _sides(rates, band, [(k, k % nth == 0, k / nth) for k in range(1, nth * band.teeth + 1)])
        tables.append((on - off) * there)
    return np.asarray(np.concatenate(tables, axis=1), dtype=np.float32)


@lru_cache(maxsize=TABLES_KEPT)
def first_weights(rates: tuple[float, ...], band: Band, beyond: int) -> Float32s:
    """(fewer bins, rates): the first of `weights`, up to so many bins beyond the last that counts for any rate."""
    first = _first(rates, band)
    used = int(np.max(np.flatnonzero(first.any(axis=1)), initial=0)) + 1
    return np.asarray(first[: used + beyond], dtype=np.float32)


def _first(rates: tuple[float, ...], band: Band) -> Float64s:
    between = [(twice / 2, twice % 2 == 0, twice / 2) for twice in range(1, 2 * band.teeth + 2)]
    on, off, _ = _sides(rates, band, between)
    steps = range(AROUND_STEPS // 2, AROUND_STEPS * band.teeth + AROUND_STEPS // 2 + 1)
    around, _, _ = _sides(rates, band, [(step / AROUND_STEPS, True, step / AROUND_STEPS) for step in steps])
    return SCALE * (on - BETWEEN_WEIGH * off - AROUND_WEIGH * around)


def _sides(
    rates: tuple[float, ...], band: Band, orders: Iterable[tuple[float, bool, float]]
) -> tuple[Float64s, Float64s, Bools]:
    """Mean over the orders on one side and on the other, and whether a rate has both within the band.

    orders: order, on which side it counts, what its weight falls with (the root of it: higher ones are blurred).
    """
    hz_of_rates, columns = np.array(rates), np.arange(len(rates))
    sides = np.zeros((2, band.bins, len(rates)))
    for order, on, falls in orders:
        hz = hz_of_rates * order
        weigh = ((hz >= band.lowest_hz) & (hz < band.top_hz)) / np.sqrt(max(falls, 1.0))
        at = np.minimum(hz / band.step_hz, band.bins - 1.001)
        low = at.astype(np.int64)
        np.add.at(sides[int(not on)], (low, columns), weigh * (1 - (at - low)))
        np.add.at(sides[int(not on)], (low + 1, columns), weigh * (at - low))
    sums = sides.sum(axis=1, keepdims=True)
    means = sides / (sums + 1e-6)
    return means[0], means[1], (sums > 0.5).all(axis=(0, 1))
