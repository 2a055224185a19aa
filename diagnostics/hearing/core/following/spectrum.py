"""Order evidence: how well each firing rate explains each frame, from the spectra of sound and envelope.

A phone's high-pass and automatic gain may leave no fundamental at the firing rate. So the harmonics are taken together,
as the teeth of a comb, in the sound itself and in the envelope of its upper band, where each firing is a burst whatever
frequencies it rings at. Half orders lie between the teeth when only every second turn fires. They weigh half, so that
neither half nor twice the rate explains more than the rate itself.

A small engine gains tenths of its speed within one frame. Frames are therefore warped in time, "bent", for several
rates of change (fan-chirp transform: Weruaga & Képesi, Signal Processing 87, 2007; from memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from scipy import fft, ndimage, signal

from diagnostics.core.arrays import Float32s, Float64s, Int64s
from diagnostics.hearing.core import limits
from diagnostics.hearing.core.following.teeth import NTHS, Band, first_weights, weights

HALVED_RATE_HZ = limits.RATE_HZ // 2
LOWER_HALF = signal.firwin(limits.HALVING_TAPS, limits.HALVING_CUT, fs=1)
UPPER_BAND = signal.butter(limits.HIGH_PASS_ORDER, limits.UPPER_FROM_HZ, "high", fs=limits.RATE_HZ, output="sos")
SMOOTH = signal.firwin(limits.SMOOTHING_TAPS, limits.SMOOTHED_TO_HZ, fs=limits.RATE_HZ)


@dataclass(frozen=True)
class Stream:
    """A signal, and which of its harmonics count: those in the band, so many at most."""

    samples: Float32s
    rate_hz: int
    lowest_hz: float
    highest_hz: float
    teeth: int


@dataclass(frozen=True)
class Frame:
    """One length of frame.

    bends: the rates of change it is bent for, ln speed a second. every: of so many frames one is computed. is_low: the
    lower half of the spectrum holds every order that counts.
    """

    length_s: float
    bends: tuple[float, ...]
    every: int
    is_low: bool


FRAMES = tuple(
    Frame(length_s, bends, every, is_low=place < limits.LOW_FRAMES)
    for place, (length_s, bends, every) in enumerate(
        zip(limits.FRAME_LENGTHS_S, limits.FRAME_BENDS, limits.FRAME_EVERY, strict=True)
    )
)
UNBENT = (0.0,)


def rates_hz(fires_per_turn: float) -> Float32s:
    """The candidate firing rates in Hz, evenly spaced on a logarithmic scale.

    >>> candidates = rates_hz(1)
    >>> bool(candidates[0] == 10 and 263 < candidates[-1] <= 267)
    True
    """
    count = int(np.log(limits.FASTEST_RPM / limits.SLOWEST_RPM) / limits.STEP_LOG) + 1
    slowest_hz = limits.SLOWEST_RPM / 60 * fires_per_turn
    return np.asarray(slowest_hz * np.exp(limits.STEP_LOG * np.arange(count)), dtype=np.float32)


def halved(samples: Float32s) -> Float32s:
    """The sound at half its rate: half the work, and every tooth that counts is still there."""
    return np.asarray(_filtered(LOWER_HALF, samples, every=2), dtype=np.float32)


def _filtered(taps: Float64s, samples: Float32s, every: int) -> Float64s:
    """Filtered by a symmetrical filter and decimated, with the delay taken out."""
    delay = len(taps) // 2 // every
    made = signal.upfirdn(taps, samples, 1, every)
    return np.asarray(made[delay : delay + -(-len(samples) // every)])


def envelope_of(samples: Float32s) -> Float32s:
    """Envelope of the band above UPPER_FROM_HZ, at ENVELOPE_RATE_HZ, compressed by a square root."""
    upper = signal.sosfilt(UPPER_BAND, samples)
    smooth = _filtered(SMOOTH, np.abs(upper), every=limits.RATE_HZ // limits.ENVELOPE_RATE_HZ)
    return np.asarray(np.sqrt(np.maximum(smooth, 0.0)), dtype=np.float32)


def combs(sound: Float32s, envelope: Float32s, rates: Float32s) -> list[Combs]:
    """The combs of every frame length, each for the candidates it serves.

    sound: as `halved` makes it; envelope: as `envelope_of` makes it; rates: the candidates, ascending.
    """
    served = tuple(float(rate) for rate in rates)
    band_hz, low_band_hz = (limits.TONES_FROM_HZ, limits.TONES_TO_HZ), (limits.TONES_FROM_HZ, limits.LOW_TONES_TO_HZ)
    tones = Stream(sound, HALVED_RATE_HZ, *band_hz, limits.TONE_TEETH)
    low_tones = Stream(halved(sound), HALVED_RATE_HZ // 2, *low_band_hz, limits.TONE_TEETH)
    bursts = Stream(envelope, limits.ENVELOPE_RATE_HZ, limits.BURSTS_FROM_HZ, limits.BURSTS_TO_HZ, limits.BURST_TEETH)
    made = []
    for frame, (first, last) in zip(FRAMES, _shares(rates), strict=True):
        if first < last:
            nths = tuple(nth for nth in NTHS if nth * served[first] < served[-1])
            both = (low_tones if frame.is_low else tones, bursts)
            of_tones, of_bursts = (Comb(served[first:last], stream, frame, nths) for stream in both)
            rows = [0, *(NTHS.index(nth) + 1 for nth in nths)]
            made.append(Combs((of_tones, of_bursts), frame, slice(first, last), rows))
    return made


@dataclass(frozen=True)
class Combs:
    """The combs of one frame length in both streams, the candidates they serve and the rows of evidence they fill."""

    both: tuple[Comb, Comb]
    frame: Frame
    serve: slice
    rows: list[int]

    def seen(self, at_frames: Int64s) -> Float32s:
        """(frames, rows, candidates served): the mean of both streams."""
        tones, bursts = (comb.seen(at_frames, UNBENT, comb.weights)[0] for comb in self.both)
        out = ((tones + bursts) * np.float32(0.5)).reshape(len(at_frames), len(self.rows), -1)
        out[:, 0] += np.float32(limits.NOISE_EVIDENCE)
        return np.asarray(out)

    def best_bent(self, at_frames: Int64s) -> Float32s:
        """(frames, candidates served): the first row only, for the best bend, less its cost."""
        tones, bursts = (comb.seen(at_frames, self.frame.bends, comb.first_weights) for comb in self.both)
        costs = limits.BEND_COSTS * np.abs(np.array(self.frame.bends, np.float32))
        seen = (tones + bursts) * np.float32(0.5) + (np.float32(limits.NOISE_EVIDENCE) - costs)[:, None, None]
        return np.asarray(np.maximum.reduce(seen, axis=0))


def evidence(made: list[Combs], frames: int, candidates: int) -> Float32s:
    """(frames, 1 + len(NTHS), candidates): evidence for each rate, NOISE_EVIDENCE for noise, 1 or more for an engine.
    Then how far every n-th tooth stands above the others, as it does where the crank turns n times a firing. The speed
    is taken to stand still within a frame.
    """
    out = np.zeros((frames, 1 + len(NTHS), candidates), np.float32)
    for part in _chunks(np.arange(frames)):
        for combs in made:
            for row, seen in zip(combs.rows, np.moveaxis(combs.seen(part), 1, 0), strict=True):
                out[part[0] : part[-1] + 1, row, combs.serve] = seen
    return out


def bend(made: list[Combs], at_frames: Int64s, seen: Float32s) -> None:
    """Raises the first row of `seen` at these frames to the evidence of the bend that explains each candidate best.

    Where only every n-th turn fires the speed hardly moves, so the other rows need no bends.
    """
    for part in _chunks(at_frames):
        for combs in made:
            if combs.frame.bends:
                seen[part, 0, combs.serve] = np.maximum(seen[part, 0, combs.serve], combs.best_bent(part))


def _chunks(frames: Int64s) -> list[Int64s]:
    return [frames[start : start + limits.CHUNK_FRAMES] for start in range(0, len(frames), limits.CHUNK_FRAMES)]


def _shares(rates: Float32s) -> list[tuple[int, int]]:
    """First and past-the-last candidate of each frame length: a rate has the shortest frame with FIRINGS_A_FRAME."""
    edges = [int(np.searchsorted(rates, limits.FIRINGS_A_FRAME / frame.length_s)) for frame in FRAMES]
    edges[0] = 0
    return [(edges[i], edges[i + 1] if i + 1 < len(edges) else len(rates)) for i in range(len(edges))]


class Comb:
    """The comb of one stream and one frame length, for some rates."""

    def __init__(self, rates: tuple[float, ...], stream: Stream, frame: Frame, nths: tuple[int, ...]) -> None:
        self.stream, self.frame = stream, frame
        self.length = int(frame.length_s * stream.rate_hz)
        self.padded = np.pad(stream.samples, (self.length, 2 * self.length))
        self.rows = np.lib.stride_tricks.sliding_window_view(self.padded, self.length)
        self.window, self.mean = _window(self.length), np.full((self.length, 1), 1 / self.length, np.float32)
        step_hz = stream.rate_hz / self.length
        top_hz = min(stream.highest_hz, stream.rate_hz / 2 - 2 * step_hz)
        bins = min(int(top_hz / step_hz) + limits.BINS_BEYOND, self.length // 2 + 1)
        self.around_bins = int(limits.WHITENED_OVER_HZ / step_hz)
        band = Band(stream.lowest_hz, top_hz, stream.teeth, step_hz, bins)
        self.weights, self.first_weights = weights(rates, band, nths), first_weights(rates, band, self.around_bins)

    def seen(self, at_frames: Int64s, bends: tuple[float, ...], weights: Float32s) -> Float32s:
        """(bends, frames, columns of `weights`): evidence as if the speed changed by each bend."""
        every = self.frame.every
        looked = at_frames // every
        firsts = np.concatenate([[True], looked[1:] != looked[:-1]])
        centres = np.round((looked[firsts] + 0.5) * (every * limits.HOP_S * self.stream.rate_hz)).astype(np.int64)
        seen = (self._levels(centres, bends, len(weights)) @ weights).reshape(len(bends), len(centres), -1)
        return np.asarray(seen if every == 1 else seen[:, np.cumsum(firsts) - 1])

    def _levels(self, centres: Int64s, bends: tuple[float, ...], bins: int) -> Float32s:
        """Whitened log spectra of the frames, up to so many bins, with a change of speed by each bend taken out.

        All bends are computed at once: each call costs much, however few the frames.
        """
        frames = np.concatenate([self._bent(centres, bend) for bend in bends])
        frames -= frames @ self.mean
        frames *= self.window
        spectrum = fft.rfft(frames, axis=1)[:, :bins]
        power = np.square(spectrum.real)
        power += np.square(spectrum.imag)
        power += power @ np.full((bins, 1), 1e-9 / bins, np.float32) + np.float32(1e-20)
        level = np.log(power, out=power)
        level -= ndimage.uniform_filter1d(level, 2 * self.around_bins + 1, axis=1, mode="reflect")
        return np.asarray(level.clip(limits.QUIETEST_LEVEL, limits.LOUDEST_LEVEL, out=level))

    def _bent(self, centres: Int64s, bend: float) -> Float32s:
        if bend == 0:
            return np.asarray(self.rows[centres + self.length // 2])
        even_s = (np.arange(self.length) - self.length / 2) / self.stream.rate_hz
        place = np.log1p(bend * even_s) / bend * self.stream.rate_hz + self.length
        whole = np.floor(place).astype(np.int64)
        part = (place - whole).astype(np.float32)
        at = centres[:, None] + whole
        low = self.padded.take(at, mode="clip")
        at += 1
        high = self.padded.take(at, mode="clip")
        high -= low
        high *= part
        low += high
        return low


@lru_cache(maxsize=limits.TABLES_KEPT)
def _window(length: int) -> Float32s:
    return np.hanning(length).astype(np.float32)
