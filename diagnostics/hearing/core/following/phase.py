"""The speed to well under a candidate's width: what each harmonic's phase still turns along the path is its error."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from diagnostics.core.arrays import Complex64s, Float32s, Float64s, Int64s
from diagnostics.hearing.core.following.spectrum import ENVELOPE_RATE_HZ, HALVED_RATE_HZ

BLOCK_S = 0.01  # one speed each
# Halves of triangular windows, in blocks; their side lobes let little of a neighbouring order in.
WIDTHS = np.array([3, 5, 9, 17])
FIRINGS_A_WINDOW = 4.0
HARMONICS, ENVELOPE_HARMONICS = 12, 6
REFINED_AT_MOST = 0.02  # share by which the refinement may move the path: between candidates, no further


def refined(sound: Float32s, envelope: Float32s, firing_hz: Float64s) -> Float64s:
    """Each harmonic demodulated along the path: what its phase still turns is the path's error.

    A harmonic weighs with its power times the square of its order, which is the best weight in white noise.
    """
    widths = _widths_of(firing_hz)
    error, weight = np.zeros(len(firing_hz)), np.full(len(firing_hz), 1e-12)
    most_hz = 0.03 * firing_hz
    for source in (
        _Source(sound, HALVED_RATE_HZ, HARMONICS, 45.0, 1700.0),
        _Source(envelope, ENVELOPE_RATE_HZ, ENVELOPE_HARMONICS, 8.0, 800.0),
    ):
        orders = np.arange(1, source.harmonics + 1)[:, None]
        lines, strengths = _lines(source, firing_hz, widths)
        slopes_hz = np.clip(_turning(lines) / orders, -most_hz, most_hz)
        error += (strengths * orders**2 * slopes_hz).sum(axis=0)
        weight += (strengths * orders**2).sum(axis=0)
    moved = firing_hz + error / weight
    return np.asarray(np.clip(moved, firing_hz * (1 - REFINED_AT_MOST), firing_hz * (1 + REFINED_AT_MOST)))


@dataclass(frozen=True)
class _Source:
    samples: Float32s
    rate_hz: int
    harmonics: int
    lowest_hz: float
    highest_hz: float


def _lines(source: _Source, firing_hz: Float64s, widths: Int64s) -> tuple[Complex64s, Float32s]:
    """(harmonics, blocks): complex amplitude and share of the power of each harmonic within the source's band."""
    block = int(BLOCK_S * source.rate_hz)
    part = source.samples[: len(firing_hz) * block]
    part = np.pad(part, (0, len(firing_hz) * block - len(part)))
    part -= np.float32(part.mean())
    power = _windowed(_block_means(np.square(part), block)[None, :], widths) + np.float32(1e-12)
    once, turned = _one_turn(firing_hz, source.rate_hz), part.astype(np.complex64)
    means = np.empty((source.harmonics, len(firing_hz)), np.complex64)
    for index in range(source.harmonics):
        turned *= once
        means[index] = _block_means(turned, block)
    lines = _windowed(means, widths)
    harmonics_hz = np.arange(1, source.harmonics + 1)[:, None] * firing_hz
    inside = (harmonics_hz > source.lowest_hz) & (harmonics_hz < source.highest_hz)
    return lines, (np.square(lines.real) + np.square(lines.imag)) * inside / power


def _one_turn(firing_hz: Float64s, rate_hz: int) -> Complex64s:
    """What turns the first harmonic back, at each sample of the blocks."""
    grid_s = np.arange(len(firing_hz) * int(BLOCK_S * rate_hz)) / rate_hz
    hz = np.interp(grid_s, (np.arange(len(firing_hz)) + 0.5) * BLOCK_S, firing_hz)
    angles = (-2 * np.pi * (np.cumsum(hz) / rate_hz % 1.0)).astype(np.float32)
    once = np.empty(len(angles), np.complex64)
    np.cos(angles, out=once.real)
    np.sin(angles, out=once.imag)
    return once


def _block_means(samples: NDArray[Any], block: int) -> NDArray[Any]:
    return np.asarray(samples.reshape(-1, block) @ np.full(block, 1 / block, samples.dtype))


def _turning(lines: Complex64s) -> Float32s:
    """How fast each phase turns at each block, Hz; over two blocks, one at the ends."""
    turned = np.zeros(lines.shape, np.float32)
    if lines.shape[1] < 3:
        return turned
    turned[:, 1:-1] = np.angle(lines[:, 2:] * np.conj(lines[:, :-2])) / 2
    turned[:, 0] = np.angle(lines[:, 1] * np.conj(lines[:, 0]))
    turned[:, -1] = np.angle(lines[:, -1] * np.conj(lines[:, -2]))
    return turned / np.float32(2 * np.pi * BLOCK_S)


def _windowed(values: NDArray[Any], widths: Int64s) -> NDArray[Any]:
    """(rows, blocks): mean over a triangle about each block that falls to nothing `widths` away; nothing is beyond the
    ends. The second difference of what is summed up twice, so that each block may have a width of its own.

    >>> _windowed(np.array([[0.0, 0.0, 1.0, 0.0, 0.0]]), np.array([1, 2, 2, 2, 3])).round(2).tolist()
    [[0.0, 0.25, 0.5, 0.25, 0.11]]
    """
    most = int(WIDTHS[-1])
    padded = np.pad(values.astype(np.result_type(values, np.float64)), ((0, 0), (most + 1, most - 1)))
    sums = padded.cumsum(axis=1).cumsum(axis=1)
    at = np.arange(values.shape[1]) + most
    out = sums.take(at + widths, axis=1) + sums.take(at - widths, axis=1) - 2 * sums[:, most : most + len(at)]
    return np.asarray(out / widths**2, dtype=values.dtype)


def _widths_of(firing_hz: Float64s) -> Int64s:
    """Which of WIDTHS holds FIRINGS_A_WINDOW at each block."""
    return WIDTHS[np.minimum(np.searchsorted(WIDTHS * BLOCK_S, FIRINGS_A_WINDOW / firing_hz), len(WIDTHS) - 1)]
