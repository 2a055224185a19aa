"""Order evidence: how well each firing rate explains each moment, from two spectra of bent frames.

A phone's high-pass and automatic gain may leave no firing fundamental: the harmonics are looked at together (a comb),
in the sound itself and in the envelope of its upper band, where a firing is a burst whatever frequencies it rings at.
Between the teeth of the comb half orders stand when every second turn fires: they weigh half, so that neither half nor
double the rate explains more than the rate itself. Frames are bent for several rates of change (a fan-chirp transform:
Weruaga & Képesi, Signal Processing 87, 2007, from memory): a small engine gains tenths of its speed within one frame.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import fft, ndimage, signal

Floats = NDArray[np.float32]

RATE_HZ = 8000  # what every clip is heard at; the orders that matter lie below 3.5 kHz
HOP_S = 0.02
STEP_LOG = 0.0125  # spacing of candidate rates, natural logarithm
SLOWEST_RPM, FASTEST_RPM = 600.0, 16000.0
BETWEEN_WEIGH = 0.5  # what stands between the teeth, against what stands on them
PERIODS = 4.5  # firings that a frame must hold: a Hann window then parts order from half order
CHUNK_FRAMES = 256
ENVELOPE_RATE_HZ = 2000


@dataclass(frozen=True)
class Stream:
    """One signal to look at: samples, their rate, how far up its harmonics count and how many."""

    samples: Floats
    rate_hz: int
    lowest_hz: float
    highest_hz: float
    teeth: int
    weigh: float


@dataclass(frozen=True)
class Frame:
    """A frame length and the rates of change that it is bent for (natural logarithm a second)."""

    length_s: float
    bends: tuple[float, ...]


FRAMES = (
    Frame(0.256, (-1.0, 0.0, 1.0, 2.5)),
    Frame(0.128, (-1.5, 0.0, 1.5, 3.5)),
    Frame(0.064, (-2.0, 0.0, 2.5, 5.0)),
    Frame(0.032, (0.0,)),
)
STANDING_FRAMES, STANDING_PERCENTILE, STANDING_SHARE = 96, 20, 0.5  # a steady engine alone must still be followed
BEND_COSTS = 0.02  # what a bend takes from the evidence, so that a steady speed is not bent by noise


def rates_hz(fires_per_turn: float) -> Floats:
    """The candidate firing rates, Hz, evenly spaced in their logarithm.

    >>> candidates = rates_hz(1)
    >>> bool(candidates[0] == 10 and 265 < candidates[-1] <= 267)
    True
    """
    count = int(np.log(FASTEST_RPM / SLOWEST_RPM) / STEP_LOG) + 1
    return np.asarray(SLOWEST_RPM / 60 * fires_per_turn * np.exp(STEP_LOG * np.arange(count)), dtype=np.float32)


def streams_of(samples: Floats) -> tuple[Stream, Stream]:
    """The sound itself, and the envelope of its band above 400 Hz with its slow course taken out."""
    return (
        Stream(halved(samples), RATE_HZ // 2, 45.0, 1700.0, 16, 1.0),
        Stream(envelope_of(samples), ENVELOPE_RATE_HZ, 8.0, 800.0, 8, 1.0),
    )


def halved(samples: Floats) -> Floats:
    """The sound at half the rate: half the work, and the teeth that count are kept."""
    return np.asarray(signal.upfirdn(signal.firwin(31, 1800, fs=RATE_HZ), samples, 1, 2)[7:], dtype=np.float32)


def envelope_of(samples: Floats) -> Floats:
    """Loudness of the band from 400 Hz up, at ENVELOPE_RATE_HZ, compressed by a square root."""
    upper = signal.sosfilt(signal.butter(2, 400, "high", fs=RATE_HZ, output="sos"), samples)
    taps = signal.firwin(33, 850, fs=RATE_HZ)
    smooth = signal.upfirdn(taps, np.abs(upper), 1, RATE_HZ // ENVELOPE_RATE_HZ)
    smooth = smooth[4 : 4 + -(-len(samples) // (RATE_HZ // ENVELOPE_RATE_HZ))]
    return np.asarray(np.sqrt(np.maximum(smooth, 0.0)), dtype=np.float32)


def combs(samples: Floats, rates: Floats) -> list[tuple[Comb, int, int]]:
    """Every comb with the first and past-the-last candidate that it serves."""
    made = []
    for stream in streams_of(samples):
        for frame, (first, last) in zip(FRAMES, _shares(rates), strict=True):
            if first < last:
                made.append((Comb(rates[first:last], stream, frame), first, last))
    return made


def evidence(made: list[tuple[Comb, int, int]], at_frames: NDArray[np.int64], candidates: int, bent: bool) -> Floats:
    """Evidence for each candidate rate (columns) at each frame (rows); about 0 for noise, 1 and more for an engine."""
    total = np.zeros((len(at_frames), candidates), np.float32)
    weigh = np.zeros(candidates, np.float32)
    for comb, first, last in made:
        for start in range(0, len(at_frames), CHUNK_FRAMES):
            part = slice(start, start + CHUNK_FRAMES)
            total[part, first:last] += comb.stream.weigh * comb.seen(at_frames[part], bent)
        weigh[first:last] += comb.stream.weigh
    return np.asarray(total / weigh, dtype=np.float32)


def _shares(rates: Floats) -> list[tuple[int, int]]:
    """Which candidates each frame length serves: the shortest that holds PERIODS of them."""
    edges = [int(np.searchsorted(rates, PERIODS / frame.length_s)) for frame in FRAMES]
    edges[0] = 0
    return [(edges[i], edges[i + 1] if i + 1 < len(edges) else len(rates)) for i in range(len(edges))]


class Comb:
    """The comb of one stream and frame length, with its tables made once."""

    def __init__(self, rates: Floats, stream: Stream, frame: Frame) -> None:
        self.stream, self.frame = stream, frame
        self.length = int(frame.length_s * stream.rate_hz)
        self.padded = np.pad(stream.samples, (self.length, 2 * self.length))
        step_hz = stream.rate_hz / self.length
        half_log = round(float(np.log(2)) / STEP_LOG)
        top = min(stream.highest_hz, stream.rate_hz / 2 - 2 * step_hz)
        self.base = rates[0] / 2
        grid = int(np.log(top / self.base) / STEP_LOG) + 1
        self.at_bin = (self.base * np.exp(STEP_LOG * np.arange(grid)) / step_hz).astype(np.float32)
        self.smooth_bins = 2 * max(int(350 / step_hz), 4) + 1
        self.bins = min(int(top / step_hz) + 3, self.length // 2 + 1)
        self.whole_bin = np.minimum(self.at_bin.astype(np.int64), self.bins - 2)
        self.part_bin = self.at_bin - self.whole_bin
        self.window = np.hanning(self.length).astype(np.float32)
        self.count, self.half_log = len(rates), half_log
        self.orders = self._orders()
        self.standing = np.zeros(len(self.at_bin), np.float32)
        self.standing = self._standing(len(stream.samples) / stream.rate_hz)

    def _orders(self) -> list[tuple[int, int, Floats]]:
        """(shift on the logarithmic grid, columns that it reaches, weight of each) for every tooth and gap."""
        orders = []
        grid_hz = self.base * np.exp(STEP_LOG * np.arange(len(self.at_bin)))
        for twice in range(1, 2 * self.stream.teeth + 2):
            order = twice / 2
            shift = self.half_log + round(float(np.log(order)) / STEP_LOG)
            reach = min(self.count, len(grid_hz) - shift)
            if reach <= 0:
                continue
            inside = grid_hz[shift : shift + reach] >= self.stream.lowest_hz
            weigh = (1 / np.sqrt(max(order, 1.0))) * inside
            orders.append((twice, shift, weigh.astype(np.float32)))
        return orders

    def _standing(self, seconds: float) -> Floats:
        """What stands still through nearly all of the clip (mains hum, a compressor), of which a part is taken out."""
        moments_s = np.linspace(0.0, seconds, STANDING_FRAMES + 2)[1:-1]
        levels = self._levels(np.round(moments_s * self.stream.rate_hz).astype(np.int64), 0.0)
        standing = np.maximum(np.percentile(levels, STANDING_PERCENTILE, axis=0), 0.0)
        return np.asarray(STANDING_SHARE * standing, dtype=np.float32)

    def seen(self, at_frames: NDArray[np.int64], bent: bool) -> Floats:
        """Evidence at the frames: the best of all bends where `bent`, else as if the speed stood still."""
        best = np.full((len(at_frames), self.count), -np.inf, np.float32)
        centres = np.round((at_frames + 0.5) * HOP_S * self.stream.rate_hz).astype(np.int64)
        for bend in self.frame.bends if bent else (0.0,):
            np.maximum(best, self._combed(self._levels(centres, bend)) - BEND_COSTS * abs(bend), out=best)
        return best

    def _levels(self, centres: NDArray[np.int64], bend: float) -> Floats:
        """Whitened logarithmic spectrum on the logarithmic grid, of frames bent so that `bend` stands still."""
        length = self.length
        even = (np.arange(length) - length / 2) / self.stream.rate_hz
        bent = even if bend == 0 else np.log1p(np.clip(bend * even, -0.9, None)) / bend
        place = bent * self.stream.rate_hz + length
        whole = np.floor(place).astype(np.int64)
        part = (place - whole).astype(np.float32)
        at = centres[:, None] + whole[None, :]
        frames = self.padded[at]
        if bend != 0:
            frames = frames * (1 - part) + self.padded[at + 1] * part
        frames = frames - frames.mean(axis=1, keepdims=True)
        spectrum = fft.rfft(frames * self.window, axis=1)[:, : self.bins]
        power = spectrum.real**2 + spectrum.imag**2
        level = np.log(power + (1e-9 * power.mean(axis=1, keepdims=True) + 1e-20))
        level -= ndimage.uniform_filter1d(level, self.smooth_bins, axis=1, mode="reflect")
        np.clip(level, -1.5, 4.0, out=level)
        low = level[:, self.whole_bin]
        level = low + (level[:, self.whole_bin + 1] - low) * self.part_bin - self.standing
        return np.asarray(level, dtype=np.float32)

    def _combed(self, levels: Floats) -> Floats:
        teeth = np.zeros((levels.shape[0], self.count), np.float32)
        gaps, weigh, weigh_gaps = (
            np.zeros_like(teeth),
            np.full(self.count, 1e-6, np.float32),
            np.full(self.count, 1e-6, np.float32),
        )
        for twice, shift, weight in self.orders:
            reach = len(weight)
            part = levels[:, shift : shift + reach] * weight
            if twice % 2 == 0:
                teeth[:, :reach] += part
                weigh[:reach] += weight
            else:
                gaps[:, :reach] += part
                weigh_gaps[:reach] += weight
        return teeth / weigh - BETWEEN_WEIGH * gaps / weigh_gaps
