"""How much each bin of a spectrum weighs for each firing rate: tables, made once for a kind of engine and kept."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from diagnostics.core.arrays import Bools, Float32s, Float64s
from diagnostics.hearing.core import limits

NTHS = limits.PATTERNS[1:]  # the patterns in which only every n-th turn fires


@dataclass(frozen=True)
class Band:
    """Which harmonics of a signal count, how many of them at most, and into which bins its spectrum is divided."""

    lowest_hz: float
    top_hz: float
    teeth: int
    step_hz: float
    bins: int


@lru_cache(maxsize=limits.TABLES_KEPT)
def weights(rates: tuple[float, ...], band: Band, nths: tuple[int, ...]) -> Float32s:
    """(bins, (1 + nths) · rates): the comb's teeth against what lies between and around them. Then, for each of `nths`,
    every n-th tooth against the others.
    """
    tables = [_first(rates, band)]
    for nth in nths:
        on, off, there = _sides(rates, band, [(k, k % nth == 0, k / nth) for k in range(1, nth * band.teeth + 1)])
        tables.append((on - off) * there)
    return np.asarray(np.concatenate(tables, axis=1), dtype=np.float32)


@lru_cache(maxsize=limits.TABLES_KEPT)
def first_weights(rates: tuple[float, ...], band: Band, beyond: int) -> Float32s:
    """(fewer bins, rates): the first part of `weights`, up to `beyond` bins past the last that weighs anything."""
    first = _first(rates, band)
    used = int(np.max(np.flatnonzero(first.any(axis=1)), initial=0)) + 1
    return np.asarray(first[: used + beyond], dtype=np.float32)


def _first(rates: tuple[float, ...], band: Band) -> Float64s:
    between = [(twice / 2, twice % 2 == 0, twice / 2) for twice in range(1, 2 * band.teeth + 2)]
    on, off, _ = _sides(rates, band, between)
    per_order = limits.AROUND_STEPS
    steps = range(per_order // 2, per_order * band.teeth + per_order // 2 + 1)
    around, _, _ = _sides(rates, band, [(step / per_order, True, step / per_order) for step in steps])
    return limits.COMB_SCALE * (on - limits.BETWEEN_WEIGH * off - limits.AROUND_WEIGH * around)


def _sides(
    rates: tuple[float, ...], band: Band, orders: Iterable[tuple[float, bool, float]]
) -> tuple[Float64s, Float64s, Bools]:
    """Weights of the mean over the orders on the one side and on the other, and whether a rate has both in the band.

    orders: the order, whether it is on the first side, and a number whose square root divides its weight, since higher
    orders are blurred.
    """
    hz_of_rates, columns = np.array(rates), np.arange(len(rates))
    sides = np.zeros((2, band.bins, len(rates)))
    for order, on, falls in orders:
        hz = hz_of_rates * order
        weigh = ((hz >= band.lowest_hz) & (hz < band.top_hz)) / np.sqrt(max(falls, 1.0))
        at = np.minimum(hz / band.step_hz, band.bins - 1 - limits.INSIDE)
        low = at.astype(np.int64)
        np.add.at(sides[int(not on)], (low, columns), weigh * (1 - (at - low)))
        np.add.at(sides[int(not on)], (low + 1, columns), weigh * (at - low))
    sums = sides.sum(axis=1, keepdims=True)
    means = sides / (sums + 1e-6)
    return means[0], means[1], (sums > 0.5).all(axis=(0, 1))
