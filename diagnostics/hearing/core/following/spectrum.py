"""Order evidence: how well each firing rate explains each moment, from two spectra of bent frames.

A phone's high-pass and automatic gain may leave no firing fundamental: the harmonics are looked at together (a comb),
in the sound itself and in the envelope of its upper band, where a firing is a burst whatever frequencies it rings at.
Between the teeth of the comb half orders stand when every second turn fires: they weigh half, so that neither half nor
double the rate explains more than the rate itself. Frames are bent for several rates of change (a fan-chirp transform:
Weruaga & Képesi, Signal Processing 87, 2007, from memory): a small engine gains tenths of its speed within one frame.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from scipy import fft, ndimage, signal

from diagnostics.core.arrays import Float32s, Int64s
from diagnostics.hearing.core.following.teeth import NTHS, TABLES_KEPT, Band, first_weights, weights

RATE_HZ = 8000  # what every clip is heard at; the orders that matter lie below 3.5 kHz
HOP_S = 0.02
STEP_LOG = 0.0125  # spacing of candidate rates, natural logarithm
SLOWEST_RPM, FASTEST_RPM = 600.0, 16000.0
# Firings a minute of every n-th turn, at least: slower ones are a compressor's, or tickover's random ones.
FIRES_FROM_RPM = 1350.0
PATTERNED_FROM_RPM = 2 * FIRES_FROM_RPM
PERIODS = 4.5  # firings that a frame must hold: a Hann window then parts order from half order
CHUNK_FRAMES = 256
WHITENED_OVER_HZ = 350.0  # to both sides; wider than orders lie apart
QUIETEST, LOUDEST = -1.5, 4.0  # limits of a whitened level, natural logarithm of power
ENVELOPE_RATE_HZ = 2000
HALVED_RATE_HZ = RATE_HZ // 2
LOWER_HALF = signal.firwin(31, 0.225, fs=1)  # so many turns a sample: 1.8 kHz at RATE_HZ
UPPER_BAND = signal.butter(2, 400, "high", fs=RATE_HZ, output="sos")
SMOOTH = signal.firwin(33, 850, fs=RATE_HZ)


@dataclass(frozen=True)
class Stream:
    """One signal to look at: samples, their rate, how far up its harmonics count and how many."""

    samples: Float32s
    rate_hz: int
    lowest_hz: float
    highest_hz: float
    teeth: int


@dataclass(frozen=True)
class Frame:
    """A frame length, rates of change that it is bent for too (natural logarithm a second), how many steps it goes on
    at once (long ones overlap so much that neighbours tell nothing new), and whether the rates that it serves are so
    low that the lower half of the sound holds all of their orders that count."""

    length_s: float
    bends: tuple[float, ...]
    every: int = 1
    low: bool = False


FRAMES = (
    Frame(0.512, (), every=4, low=True),
    Frame(0.256, (-1.0, 1.0, 2.5), every=2, low=True),
    Frame(0.128, (-1.5, 1.5, 3.5)),
    Frame(0.064, (-2.0, 2.5, 5.0)),
    Frame(0.032, ()),
)
UNBENT = (0.0,)
NOISE = 0.1  # added to all evidence, as the limits on it were chosen so; what noise has
BEND_COSTS = 0.02  # what a bend takes from the evidence, so that a steady speed is not bent by noise


def rates_hz(fires_per_turn: float) -> Float32s:
    """The candidate firing rates, Hz, evenly spaced in their logarithm.

    >>> candidates = rates_hz(1)
    >>> bool(candidates[0] == 10 and 263 < candidates[-1] <= 267)
    True
    """
    count = int(np.log(FASTEST_RPM / SLOWEST_RPM) / STEP_LOG) + 1
    return np.asarray(SLOWEST_RPM / 60 * fires_per_turn * np.exp(STEP_LOG * np.arange(count)), dtype=np.float32)


def halved(samples: Float32s) -> Float32s:
    """The sound at half its rate: half the work, and the teeth that count are kept."""
    made = signal.upfirdn(LOWER_HALF, samples, 1, 2)
    return np.asarray(made[7 : 7 + -(-len(samples) // 2)], dtype=np.float32)


def envelope_of(samples: Float32s) -> Float32s:
    """Loudness of the band from 400 Hz up, at ENVELOPE_RATE_HZ, compressed by a square root."""
    upper = signal.sosfilt(UPPER_BAND, samples)
    smooth = signal.upfirdn(SMOOTH, np.abs(upper), 1, RATE_HZ // ENVELOPE_RATE_HZ)
    smooth = smooth[4 : 4 + -(-len(samples) // (RATE_HZ // ENVELOPE_RATE_HZ))]
    return np.asarray(np.sqrt(np.maximum(smooth, 0.0)), dtype=np.float32)


def combs(sound: Float32s, envelope: Float32s, rates: Float32s) -> list[Combs]:
    """The combs of every frame length, each with the candidates that it serves: of the sound itself, as `halved` makes
    it, and of the envelope of its band above 400 Hz."""
    served = tuple(float(rate) for rate in rates)
    patterned_hz = served[0] * PATTERNED_FROM_RPM / SLOWEST_RPM
    tones = Stream(sound, HALVED_RATE_HZ, 45.0, 1700.0, 16)
    low_tones = Stream(halved(sound), HALVED_RATE_HZ // 2, 45.0, 850.0, 16)
    bursts = Stream(envelope, ENVELOPE_RATE_HZ, 8.0, 800.0, 8)
    made = []
    for frame, (first, last) in zip(FRAMES, _shares(rates), strict=True):
        if first < last:
            nths = tuple(
                nth for nth in NTHS if nth * served[last - 1] > patterned_hz and nth * served[first] < served[-1]
            )
            both = (low_tones if frame.low else tones, bursts)
            of_tones, of_bursts = (Comb(served[first:last], stream, frame, nths) for stream in both)
            rows = [0, *(NTHS.index(nth) + 1 for nth in nths)]
            made.append(Combs((of_tones, of_bursts), frame, slice(first, last), rows))
    return made


@dataclass(frozen=True)
class Combs:
    """One frame length's combs, of both streams: which candidates they serve and which rows of the evidence."""

    both: tuple[Comb, Comb]
    frame: Frame
    serve: slice
    rows: list[int]

    def seen(self, at_frames: Int64s) -> Float32s:
        """(frames, rows, candidates served): mean of the streams."""
        tones, bursts = (comb.seen(at_frames, UNBENT, comb.weights)[0] for comb in self.both)
        out = ((tones + bursts) * np.float32(0.5)).reshape(len(at_frames), len(self.rows), -1)
        out[:, 0] += np.float32(NOISE)
        return np.asarray(out)

    def best_bent(self, at_frames: Int64s) -> Float32s:
        """(frames, candidates served): the first row only, for the best bend, less what the bend costs."""
        tones, bursts = (comb.seen(at_frames, self.frame.bends, comb.first_weights) for comb in self.both)
        costs = BEND_COSTS * np.abs(np.array(self.frame.bends, np.float32))
        seen = (tones + bursts) * np.float32(0.5) + (np.float32(NOISE) - costs)[:, None, None]
        return np.asarray(np.maximum.reduce(seen, axis=0))


def evidence(made: list[Combs], frames: int, candidates: int) -> Float32s:
    """(frames, 1 + len(NTHS), candidates): evidence for each rate, NOISE for noise, 1 and more for an engine; then
    how much every n-th tooth stands above the others, as where the crank turns n times a firing. As if the speed stood
    still within a frame."""
    out = np.zeros((frames, 1 + len(NTHS), candidates), np.float32)
    for part in _chunks(np.arange(frames)):
        for combs in made:
            for row, seen in zip(combs.rows, np.moveaxis(combs.seen(part), 1, 0), strict=True):
                out[part[0] : part[-1] + 1, row, combs.serve] = seen
    return out


def bend(made: list[Combs], at_frames: Int64s, seen: Float32s) -> None:
    """Puts better evidence into the first row of `seen` at the frames, for each candidate of the bend that explains it
    best. Where every n-th turn only fires the speed hardly moves: the other rows need no bends."""
    for part in _chunks(at_frames):
        for combs in made:
            if combs.frame.bends:
                seen[part, 0, combs.serve] = np.maximum(seen[part, 0, combs.serve], combs.best_bent(part))


def _chunks(frames: Int64s) -> list[Int64s]:
    return [frames[start : start + CHUNK_FRAMES] for start in range(0, len(frames), CHUNK_FRAMES)]


def _shares(rates: Float32s) -> list[tuple[int, int]]:
    """Which candidates each frame length serves: the shortest that holds PERIODS of them."""
    edges = [int(np.searchsorted(rates, PERIODS / frame.length_s)) for frame in FRAMES]
    edges[0] = 0
    return [(edges[i], edges[i + 1] if i + 1 < len(edges) else len(rates)) for i in range(len(edges))]


class Comb:
    """The comb of one stream and frame length for some rates."""

    def __init__(self, rates: tuple[float, ...], stream: Stream, frame: Frame, nths: tuple[int, ...]) -> None:
        self.stream, self.frame = stream, frame
        self.length = int(frame.length_s * stream.rate_hz)
        self.padded = np.pad(stream.samples, (self.length, 2 * self.length))
        self.rows = np.lib.stride_tricks.sliding_window_view(self.padded, self.length)
        self.window, self.mean = _window(self.length), np.full((self.length, 1), 1 / self.length, np.float32)
        step_hz = stream.rate_hz / self.length
        top_hz = min(stream.highest_hz, stream.rate_hz / 2 - 2 * step_hz)
        bins = min(int(top_hz / step_hz) + 3, self.length // 2 + 1)
        self.around_bins = max(int(WHITENED_OVER_HZ / step_hz), 4)
        band = Band(stream.lowest_hz, top_hz, stream.teeth, step_hz, bins)
        self.weights, self.first_weights = weights(rates, band, nths), first_weights(rates, band, self.around_bins)

    def seen(self, at_frames: Int64s, bends: tuple[float, ...], weights: Float32s) -> Float32s:
        """(bends, frames, columns of `weights`): evidence as if the speed changed by each bend in each frame."""
        every = self.frame.every
        looked = at_frames // every
        firsts = np.concatenate([[True], looked[1:] != looked[:-1]])
        centres = np.round((looked[firsts] + 0.5) * (every * HOP_S * self.stream.rate_hz)).astype(np.int64)
        seen = (self._levels(centres, bends, len(weights)) @ weights).reshape(len(bends), len(centres), -1)
        return np.asarray(seen if every == 1 else seen[:, np.cumsum(firsts) - 1])

    def _levels(self, centres: Int64s, bends: tuple[float, ...], bins: int) -> Float32s:
        """Whitened logarithmic spectrum, up to so many bins, of frames bent so that a change by each bend stands still:
        for all bends at once, as each step costs much however few the frames are."""
        frames = np.concatenate([self._bent(centres, bend) for bend in bends])
        frames -= frames @ self.mean
        frames *= self.window
        spectrum = fft.rfft(frames, axis=1)[:, :bins]
        power = np.square(spectrum.real)
        power += np.square(spectrum.imag)
        power += power @ np.full((bins, 1), 1e-9 / bins, np.float32) + np.float32(1e-20)
        level = np.log(power, out=power)
        level -= ndimage.uniform_filter1d(level, 2 * self.around_bins + 1, axis=1, mode="reflect")
        return np.asarray(level.clip(QUIETEST, LOUDEST, out=level))

    def _bent(self, centres: Int64s, bend: float) -> Float32s:
        if bend == 0:
            return np.asarray(self.rows[centres + self.length // 2])
        even_s = (np.arange(self.length) - self.length / 2) / self.stream.rate_hz
        place = np.log1p(np.clip(bend * even_s, -0.9, None)) / bend * self.stream.rate_hz + self.length
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


@lru_cache(maxsize=TABLES_KEPT)
def _window(length: int) -> Float32s:
    return np.hanning(length).astype(np.float32)
