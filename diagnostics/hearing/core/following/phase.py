"""The speed refined to well under a candidate's width by what each harmonic's phase still turns along the path."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from diagnostics.core.arrays import Complex64s, Float32s, Float64s, Int64s
from diagnostics.hearing.core import limits
from diagnostics.hearing.core.blocks import middles_s
from diagnostics.hearing.core.following.spectrum import HALVED_RATE_HZ

WIDTHS = np.array(limits.WINDOW_BLOCKS)


def refined(sound: Float32s, envelope: Float32s, firing_hz: Float64s) -> Float64s:
    """(blocks,) the firing rate, Hz, with the error of `firing_hz` taken out.

    Each harmonic is demodulated along the path. It weighs as its power times the square of its order, which is the best
    weight in white noise. sound: as `halved` makes it; envelope: as `envelope_of` makes it.
    """
    widths = _widths_of(firing_hz)
    error, weight = np.zeros(len(firing_hz)), np.full(len(firing_hz), 1e-12)
    most_hz, most = limits.TURNS_AT_MOST_SHARE * firing_hz, limits.REFINED_AT_MOST
    for source in (
        _Source(sound, HALVED_RATE_HZ, limits.TONE_HARMONICS, limits.TONES_FROM_HZ, limits.TONES_TO_HZ),
        _Source(envelope, limits.ENVELOPE_RATE_HZ, limits.BURST_HARMONICS, limits.BURSTS_FROM_HZ, limits.BURSTS_TO_HZ),
    ):
        orders = np.arange(1, source.harmonics + 1)[:, None]
        lines, strengths = _lines(source, firing_hz, widths)
        slopes_hz = np.clip(_turning(lines) / orders, -most_hz, most_hz)
        error += (strengths * orders**2 * slopes_hz).sum(axis=0)
        weight += (strengths * orders**2).sum(axis=0)
    return np.asarray(np.clip(firing_hz + error / weight, firing_hz * (1 - most), firing_hz * (1 + most)))


@dataclass(frozen=True)
class _Source:
    samples: Float32s
    rate_hz: int
    harmonics: int
    lowest_hz: float
    highest_hz: float


def _lines(source: _Source, firing_hz: Float64s, widths: Int64s) -> tuple[Complex64s, Float32s]:
    """(harmonics, blocks): the complex amplitude of each harmonic in the source's band, and its share of the power."""
    block = int(limits.BLOCK_S * source.rate_hz)
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
    """(samples of the blocks,): what turns the first harmonic back to standing still."""
    grid_s = np.arange(len(firing_hz) * int(limits.BLOCK_S * rate_hz)) / rate_hz
    hz = np.interp(grid_s, middles_s(len(firing_hz)), firing_hz)
    angles = (-2 * np.pi * (np.cumsum(hz) / rate_hz % 1.0)).astype(np.float32)
    once = np.empty(len(angles), np.complex64)
    np.cos(angles, out=once.real)
    np.sin(angles, out=once.imag)
    return once


def _block_means(samples: NDArray[Any], block: int) -> NDArray[Any]:
    return np.asarray(samples.reshape(-1, block) @ np.full(block, 1 / block, samples.dtype))


def _turning(lines: Complex64s) -> Float32s:
    """How fast each phase turns at each block, Hz, taken over two blocks, at the ends over one."""
    turned = np.zeros(lines.shape, np.float32)
    if lines.shape[1] <= 2:
        return turned
    turned[:, 1:-1] = np.angle(lines[:, 2:] * np.conj(lines[:, :-2])) / 2
    turned[:, 0] = np.angle(lines[:, 1] * np.conj(lines[:, 0]))
    turned[:, -1] = np.angle(lines[:, -1] * np.conj(lines[:, -2]))
    return turned / np.float32(2 * np.pi * limits.BLOCK_S)


def _windowed(values: NDArray[Any], widths: Int64s) -> NDArray[Any]:
    """(rows, blocks): the mean over a triangular window about each block, which reaches 0 `widths` blocks away.

    It is the second difference of the twice cumulated values, so each block may have its own width. Beyond the ends
    everything is 0.

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
    """(blocks,): the narrowest of WIDTHS that holds FIRINGS_A_WINDOW."""
    narrowest = np.searchsorted(WIDTHS * limits.BLOCK_S, limits.FIRINGS_A_WINDOW / firing_hz)
    return np.asarray(WIDTHS[np.minimum(narrowest, len(WIDTHS) - 1)])
