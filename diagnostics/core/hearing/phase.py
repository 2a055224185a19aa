"""The speed to well under a candidate's width: what each harmonic's phase still turns along the path is its error."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from diagnostics.core.hearing.spectrum import ENVELOPE_RATE_HZ, HALVED_RATE_HZ
from diagnostics.core.hearing.teeth import Floats

Doubles = NDArray[np.float64]

BLOCK_S = 0.01  # one speed each
# Halves of triangular windows, whose side lobes let little of a neighbouring order in.
WINDOWS_S = (0.03, 0.05, 0.09, 0.17)
FIRINGS_A_WINDOW = 4.0
HARMONICS, ENVELOPE_HARMONICS = 12, 6
REFINED_AT_MOST = 0.02  # share by which one refinement may move the path: between candidates, no further


def refined(sound: Floats, envelope: Floats, firing_hz: Doubles, coarse_hz: Doubles) -> Doubles:
    """Each harmonic demodulated along the path: what its phase still turns is the path's error.

    A harmonic weighs with its power times the square of its order, which is the best weight in white noise.
    """
    picks = _window_of(firing_hz)
    error, weight = np.zeros(len(firing_hz)), np.full(len(firing_hz), 1e-12)
    most_hz = 0.03 * firing_hz
    for source in (
        _Source(sound, HALVED_RATE_HZ, HARMONICS, 45.0, 1700.0),
        _Source(envelope, ENVELOPE_RATE_HZ, ENVELOPE_HARMONICS, 8.0, 800.0),
    ):
        orders = np.arange(1, source.harmonics + 1)[:, None]
        lines, strengths = _lines(source, firing_hz, picks)
        slopes_hz = np.clip(_turning(lines) / orders, -most_hz, most_hz)
        error += (strengths * orders**2 * slopes_hz).sum(axis=0)
        weight += (strengths * orders**2).sum(axis=0)
    moved = firing_hz + error / weight
    return np.asarray(np.clip(moved, coarse_hz * (1 - REFINED_AT_MOST), coarse_hz * (1 + REFINED_AT_MOST)))


@dataclass(frozen=True)
class _Source:
    samples: Floats
    rate_hz: int
    harmonics: int
    lowest_hz: float
    highest_hz: float


def _lines(source: _Source, firing_hz: Doubles, picks: NDArray[np.int64]) -> tuple[NDArray[np.complex128], Doubles]:
    """(harmonics, blocks): complex amplitude and share of the power of each harmonic within the source's band."""
    block = int(BLOCK_S * source.rate_hz)
    part = source.samples[: len(firing_hz) * block]
    part = np.pad(part, (0, len(firing_hz) * block - len(part)))
    grid_s = np.arange(len(part)) / source.rate_hz
    hz = np.interp(grid_s, (np.arange(len(firing_hz)) + 0.5) * BLOCK_S, firing_hz)
    once = np.exp(-2j * np.pi * (np.cumsum(hz) / source.rate_hz % 1.0)).astype(np.complex64)
    part = part - np.float32(part.mean())
    power = _windowed((part**2).reshape(-1, block).mean(axis=1)[None, :], picks).real + 1e-12
    turned = part.astype(np.complex64)
    means = np.empty((source.harmonics, len(firing_hz)), np.complex64)
    for index in range(source.harmonics):
        turned *= once
        means[index] = turned.reshape(-1, block).mean(axis=1)
    lines = _windowed(means, picks)
    harmonics_hz = np.arange(1, source.harmonics + 1)[:, None] * firing_hz
    inside = (harmonics_hz > source.lowest_hz) & (harmonics_hz < source.highest_hz)
    return lines, np.abs(lines) ** 2 * inside / power


def _turning(lines: NDArray[np.complex128]) -> Doubles:
    """How fast each phase turns at each block, Hz; over two blocks, one at the ends."""
    if lines.shape[1] < 3:
        return np.zeros(lines.shape)
    turned = np.empty(lines.shape)
    turned[:, 1:-1] = np.angle(lines[:, 2:] * np.conj(lines[:, :-2])) / 2
    turned[:, 0] = np.angle(lines[:, 1] * np.conj(lines[:, 0]))
    turned[:, -1] = np.angle(lines[:, -1] * np.conj(lines[:, -2]))
    return turned / (2 * np.pi * BLOCK_S)


def _windowed(values: NDArray[Any], picks: NDArray[np.int64]) -> NDArray[np.complex128]:
    """Mean over a triangular window about each block, by `picks` of WINDOWS_S."""
    out = np.empty(values.shape, np.complex128)
    for index, window_s in enumerate(WINDOWS_S):
        here = picks == index
        if here.any():
            out[:, here] = _boxed(values, window_s)[:, here]
    return out


def _window_of(firing_hz: Doubles) -> NDArray[np.int64]:
    """Which of WINDOWS_S holds FIRINGS_A_WINDOW at each block."""
    return np.minimum(np.searchsorted(np.array(WINDOWS_S), FIRINGS_A_WINDOW / firing_hz), len(WINDOWS_S) - 1)


def _boxed(sums: NDArray[Any], window_s: float) -> NDArray[np.complex128]:
    half = round(window_s / BLOCK_S) // 2
    count = sums.shape[1]
    at = np.arange(count)
    first, last = np.maximum(at - half, 0), np.minimum(at + half + 1, count)
    for _ in range(2):
        total = np.zeros((len(sums), count + 1), complex)
        np.cumsum(sums, axis=1, out=total[:, 1:])
        sums = (total[:, last] - total[:, first]) / (2 * half + 1)
    return np.asarray(sums)
