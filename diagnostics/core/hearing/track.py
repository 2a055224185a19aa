"""Engine speed over time: the path of most evidence that an engine can follow, then refined by phase."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from diagnostics.core.hearing.spectrum import (
    ENVELOPE_RATE_HZ,
    HOP_S,
    RATE_HZ,
    STEP_LOG,
    Floats,
    combs,
    envelope_of,
    evidence,
    rates_hz,
)

Doubles = NDArray[np.float64]

RISES_LOG_S = 6.0  # fastest gain of speed, natural logarithm a second; common practice for small engines, no source
FALLS_LOG_S = 4.0
PATTERNS = (1, 2, 3, 4)  # every turn fires, every second (four-stroking), every third, every fourth (eight-stroking)
PATTERN_COSTS = 0.06  # what a pattern takes from the evidence of a frame: the plain explanation is preferred
CHANGE_COSTS = 3.0  # what a change of pattern takes, once
CAPPED_AT = 1.5  # no single frame may convince by more: a loud voice must not outweigh a quiet tickover
NEVER = np.float32(-1e9)
STEP_COSTS = 0.025  # what a change of one candidate a frame takes from the evidence
STEADY_STEPS = 0.5  # candidates a frame: slower than this a frame need not be bent
CLEAR = 1.0  # evidence that leaves no doubt
BLOCK_S = 0.01
WINDOWS_S = (
    0.03,
    0.05,
    0.09,
    0.17,
)  # halves of triangular windows, whose side lobes let little of a neighbouring order in
FIRINGS_A_WINDOW = 4.0
HARMONICS, ENVELOPE_HARMONICS = 12, 6
REFINED_AT_MOST = 0.02  # share by which one refinement may move the path: between candidates, no further


@dataclass(frozen=True)
class Track:
    """Speed every BLOCK_S, counted at block centres.

    firing_hz: the firing rate; evidence: the comb's along the path, about 0 for noise; harmonic: share of the
    sound's power that moves with the orders, 0 to 1; pattern: place in PATTERNS of which turns fire.
    """

    firing_hz: Doubles
    evidence: Doubles
    harmonic: Doubles
    pattern: NDArray[np.int64]
    fires_per_turn: float

    @property
    def rpm(self) -> Doubles:
        return np.asarray(self.firing_hz * 60 / self.fires_per_turn)


def follow(samples: Floats, fires_per_turn: float) -> Track:
    """The engine's speed through the clip, whether there is an engine or not: `evidence` tells."""
    rates = rates_hz(fires_per_turn)
    seen = _looked_at_twice(samples, rates)
    path, pattern = best_path(seen)
    fired = path - np.array([_shift_of(nth) for nth in PATTERNS])[pattern]
    along = seen[np.arange(len(path)), fired]
    blocks = max(int(len(samples) / RATE_HZ / BLOCK_S), 1)
    at_s = (np.arange(blocks) + 0.5) * BLOCK_S
    frame_s = (np.arange(len(path)) + 0.5) * HOP_S
    firing_hz = np.interp(at_s, frame_s, _between(seen, fired, rates) * np.array(PATTERNS)[pattern])
    refined, harmonic = firing_hz, np.zeros(blocks)
    for _ in range(2):
        refined, harmonic = _refined(samples, refined, firing_hz)
    return Track(refined, np.interp(at_s, frame_s, along), harmonic, _nearest(pattern, blocks), fires_per_turn)


def _nearest(pattern: NDArray[np.int64], blocks: int) -> NDArray[np.int64]:
    per_frame = round(HOP_S / BLOCK_S)
    return np.asarray(np.pad(np.repeat(pattern, per_frame), (0, per_frame), mode="edge")[:blocks])


def _looked_at_twice(samples: Floats, rates: Floats) -> Floats:
    """Evidence of each frame; only where the speed does not clearly stand still are bent frames worth their time."""
    made = combs(samples, rates)
    frames = np.arange(max(int(len(samples) / RATE_HZ / HOP_S), 1))
    seen = evidence(made, frames, len(rates), bent=False)
    path, _ = best_path(seen, PATTERNS[:1])
    moved = np.abs(np.convolve(np.gradient(path.astype(float)) if len(path) > 1 else path, np.ones(5) / 5, "same"))
    steady = (moved < STEADY_STEPS) & (seen[frames, path] > CLEAR)
    again = frames[np.convolve(~steady, np.ones(3), "same") > 0]
    if len(again):
        seen[again] = evidence(made, again, len(rates), bent=True)
    return np.asarray(CAPPED_AT * np.tanh(seen / CAPPED_AT), dtype=np.float32)


def patterned(seen: Floats, patterns: tuple[int, ...]) -> Floats:
    """Evidence (frames, patterns, candidates) that the crank turns at a candidate while every n-th turn only fires."""
    out = np.full((len(seen), len(patterns), seen.shape[1]), NEVER, np.float32)
    for place, nth in enumerate(patterns):
        shift = _shift_of(nth)
        if shift < seen.shape[1]:
            out[:, place, shift:] = seen[:, : seen.shape[1] - shift] - PATTERN_COSTS * (place > 0)
    return out


def _shift_of(nth: int) -> int:
    return round(float(np.log(nth)) / STEP_LOG)


def best_path(seen: Floats, patterns: tuple[int, ...] = PATTERNS) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Candidate and firing pattern of each frame on the path of most evidence that an engine can follow.

    Dynamic programming over speed and pattern: where every second turn fires the evidence stands at half the rate, but
    the crank has not slowed down, and a change of pattern costs less than the dive that no engine can make.
    """
    given = patterned(seen, patterns)
    up, down = (round(rate * HOP_S / STEP_LOG) for rate in (RISES_LOG_S, FALLS_LOG_S))
    moves = np.arange(-up, down + 1)  # where the path may have come from, against where it is
    costs = (STEP_COSTS * np.abs(moves)).astype(np.float32)
    frames, ways, count = given.shape
    came = np.zeros((frames, ways, count), np.int16)
    rows, columns = np.arange(ways)[:, None], np.arange(count)[None, :]
    flat = rows * count + columns
    held = np.full((ways, up + count + down), NEVER, np.float32)
    windows = np.lib.stride_tricks.sliding_window_view(held, up + down + 1, axis=1)
    total = given[0].copy()
    for index in range(1, frames):
        held[:, up : up + count] = total
        choices = windows - costs
        pick = choices.argmax(axis=2)
        best = choices[rows, columns, pick]
        source = flat + moves[pick]
        other = best.argmax(axis=0)
        changed = best[other, columns[0]] - CHANGE_COSTS
        better = changed[None, :] > best
        came[index] = np.where(better, source[other, columns[0]][None, :], source)
        total = np.where(better, changed[None, :], best) + given[index]
    state = np.empty(frames, np.int64)
    state[-1] = total.argmax()
    for index in range(frames - 1, 0, -1):
        state[index - 1] = came[index].ravel()[state[index]]
    return state % count, state // count


def _between(seen: Floats, path: NDArray[np.int64], rates: Floats) -> Doubles:
    """The rate at the top of a parabola through a candidate and its neighbours."""
    rows = np.arange(len(path))
    middle = np.clip(path, 1, seen.shape[1] - 2)
    before, here, after = (seen[rows, middle + step].astype(float) for step in (-1, 0, 1))
    bend = before - 2 * here + after
    shift = np.where(bend < -1e-6, 0.5 * (before - after) / np.where(bend < -1e-6, bend, -1.0), 0.0)
    shift = np.where(path == middle, np.clip(shift, -0.5, 0.5), 0.0)
    return np.asarray(rates[path] * np.exp(STEP_LOG * shift), dtype=np.float64)


def _refined(samples: Floats, firing_hz: Doubles, coarse_hz: Doubles) -> tuple[Doubles, Doubles]:
    """Each harmonic demodulated along the path: what its phase still turns is the path's error.

    A harmonic weighs with its power times the square of its order, which is the best weight in white noise.
    """
    picks = _window_of(firing_hz)
    error, weight = np.zeros(len(firing_hz)), np.full(len(firing_hz), 1e-12)
    harmonic = np.zeros(len(firing_hz))
    for source in (
        _Source(samples, RATE_HZ, HARMONICS, 45.0, 2400.0),
        _Source(envelope_of(samples), ENVELOPE_RATE_HZ, ENVELOPE_HARMONICS, 8.0, 800.0),
    ):
        strengths = np.zeros(len(firing_hz))
        for order, line, strength in _lines(source, firing_hz, picks):
            slope_hz = _turning(line) / order
            most_hz = 0.03 * firing_hz
            error += strength * order**2 * np.clip(slope_hz, -most_hz, most_hz)
            weight += strength * order**2
            strengths += 2 * strength
        if source.rate_hz == RATE_HZ:
            harmonic = strengths
    moved = firing_hz + error / weight
    near = np.clip(moved, coarse_hz * (1 - REFINED_AT_MOST), coarse_hz * (1 + REFINED_AT_MOST))
    return near, np.clip(harmonic, 0.0, 1.0)


@dataclass(frozen=True)
class _Source:
    samples: Floats
    rate_hz: int
    harmonics: int
    lowest_hz: float
    highest_hz: float


def _lines(
    source: _Source, firing_hz: Doubles, picks: NDArray[np.int64]
) -> Iterator[tuple[int, NDArray[np.complex128], Doubles]]:
    """Order, complex amplitude at each block and its share of the power, for each harmonic within the source's band."""
    block = int(BLOCK_S * source.rate_hz)
    part = source.samples[: len(firing_hz) * block]
    part = np.pad(part, (0, len(firing_hz) * block - len(part)))
    grid_s = np.arange(len(part)) / source.rate_hz
    hz = np.interp(grid_s, (np.arange(len(firing_hz)) + 0.5) * BLOCK_S, firing_hz)
    once = np.exp(-2j * np.pi * (np.cumsum(hz) / source.rate_hz % 1.0)).astype(np.complex64)
    part = part - np.float32(part.mean())
    power = _windowed((part**2).reshape(-1, block).mean(axis=1), picks).real + 1e-12
    turned = part.astype(np.complex64)
    for order in range(1, source.harmonics + 1):
        turned = turned * once
        line = _windowed(turned.reshape(-1, block).mean(axis=1), picks)
        inside = (order * firing_hz > source.lowest_hz) & (order * firing_hz < source.highest_hz)
        yield order, line, np.abs(line) ** 2 * inside / power


def _turning(line: NDArray[np.complex128]) -> Doubles:
    """How fast the phase turns at each block, Hz; over two blocks, one at the ends."""
    if len(line) < 3:
        return np.zeros(len(line))
    turned = np.empty(len(line))
    turned[1:-1] = np.angle(line[2:] * np.conj(line[:-2])) / 2
    turned[0], turned[-1] = np.angle(line[1] * np.conj(line[0])), np.angle(line[-1] * np.conj(line[-2]))
    return turned / (2 * np.pi * BLOCK_S)


def _windowed(values: NDArray[Any], picks: NDArray[np.int64]) -> NDArray[np.complex128]:
    return np.asarray(np.array([_boxed(values, window_s) for window_s in WINDOWS_S])[picks, np.arange(len(picks))])


def _window_of(firing_hz: Doubles) -> NDArray[np.int64]:
    """Which of WINDOWS_S holds FIRINGS_A_WINDOW at each block."""
    return np.minimum(np.searchsorted(np.array(WINDOWS_S), FIRINGS_A_WINDOW / firing_hz), len(WINDOWS_S) - 1)


def _boxed(sums: NDArray[np.complex64], window_s: float) -> NDArray[np.complex128]:
    """Mean over a triangular window about each block."""
    half = round(window_s / BLOCK_S) // 2
    at = np.arange(len(sums))
    for _ in range(2):
        total = np.cumsum(np.concatenate([np.zeros(1, complex), sums]))
        sums = (total[np.minimum(at + half + 1, len(sums))] - total[np.maximum(at - half, 0)]) / (2 * half + 1)
    return np.asarray(sums)
