"""What else is heard, and what a phone makes of it all: other noises and another phone than those of the other sets."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from scipy import signal

from tests.revouts.sound import MADE_HZ

Maker = Callable[[int, np.random.Generator], np.ndarray]


def beside(kind: str, count: int, rng: np.random.Generator) -> np.ndarray:
    """Noise of mean square 1."""
    out = NOISES[kind](count, rng)
    return out / (np.std(out) + 1e-9)


def _roaming(count: int, rng: np.random.Generator, hz: float) -> np.ndarray:
    """A slow random course of spread 1."""
    points = rng.normal(size=int(count / MADE_HZ * hz) + 8)
    return signal.resample(points, count + int(4 * MADE_HZ / hz))[:count]


def _breeze(count: int, rng: np.random.Generator) -> np.ndarray:
    keep = np.exp(-2 * np.pi * rng.uniform(30, 200) / MADE_HZ)
    rumble = signal.lfilter([1.0], np.convolve([1, -keep], [1, -0.5 * keep]), rng.normal(size=count))
    return rumble * np.exp(0.8 * _roaming(count, rng, rng.uniform(0.5, 4)))


def _lorry(count: int, rng: np.random.Generator) -> np.ndarray:
    """A big engine at tickover across the road: knocks in fours, one of them louder."""
    turns = np.cumsum(rng.uniform(9, 14) * (1 + 0.01 * _roaming(count, rng, 1))) / MADE_HZ * 2
    knocks = np.diff(np.floor(turns), prepend=0.0) * (1 + 0.5 * (np.floor(turns) % 4 == 0))
    body = sum(signal.lfilter(*signal.iirpeak(hz, 4, fs=MADE_HZ), knocks) for hz in rng.uniform(60, 1500, 5))
    return body / np.std(body) + 0.3 * signal.lfilter([0.2], [1, -0.8], rng.normal(size=count))


def _grinder(count: int, rng: np.random.Generator) -> np.ndarray:
    on = signal.lfilter([0.0005], [1, -0.9995], (_roaming(count, rng, 0.7) > 0).astype(float))
    phase = np.cumsum(rng.uniform(120, 200) * (0.7 + 0.3 * on)) / MADE_HZ
    return on * (np.sin(2 * np.pi * 11 * phase) + rng.normal(size=count)) + 0.02 * rng.normal(size=count)


def _chatter(count: int, rng: np.random.Generator) -> np.ndarray:
    out = np.zeros(count)
    for _ in range(2):
        glide = rng.uniform(100, 220) * np.exp(0.15 * _roaming(count, rng, 3))
        clicks = np.diff(np.floor(np.cumsum(glide) / MADE_HZ), prepend=0.0)
        open_mouth = np.clip(_roaming(count, rng, 4), 0, None)
        for low, high in ((300, 900), (900, 2300), (2300, 3500)):
            hz = rng.uniform(low, high)
            out += signal.lfilter(*signal.iirpeak(hz, 5, fs=MADE_HZ), clicks) * open_mouth
    return out + 0.01 * np.std(out) * rng.normal(size=count)


def _tin_roof(count: int, rng: np.random.Generator) -> np.ndarray:
    drops = (rng.random(count) < rng.uniform(0.002, 0.01)) * rng.exponential(size=count)
    return sum(signal.lfilter(*signal.iirpeak(hz, 12, fs=MADE_HZ), drops) for hz in rng.uniform(700, 5000, 6))


def _fan_heater(count: int, rng: np.random.Generator) -> np.ndarray:
    at_s = np.arange(count) / MADE_HZ
    hum = sum(np.sin(2 * np.pi * 100 * k * at_s + k) / k for k in range(1, 5))
    return 0.4 * hum + signal.lfilter([0.5], [1, -0.5], rng.normal(size=count))


def _music_box(count: int, rng: np.random.Generator) -> np.ndarray:
    out = np.zeros(count)
    beat = int(rng.uniform(0.25, 0.6) * MADE_HZ)
    for start in range(0, count, beat):
        at_s = np.arange(min(2 * beat, count - start)) / MADE_HZ
        hz = 65 * 2 ** (int(rng.integers(0, 36)) / 12)
        out[start : start + len(at_s)] += np.exp(-3 * at_s) * signal.square(2 * np.pi * hz * at_s)
    return out


def _footsteps(count: int, rng: np.random.Generator) -> np.ndarray:
    """Gravel, and the phone shifted in the hand."""
    step = np.clip(np.sin(2 * np.pi * rng.uniform(1.2, 2.2) * np.arange(count) / MADE_HZ), 0, 1) ** 6
    thump = signal.lfilter(
        *signal.butter(2, 300, fs=MADE_HZ), (rng.random(count) < 0.0001) * rng.normal(size=count) * 40
    )
    return step * rng.normal(size=count) * (rng.random(count) < 0.2) + thump + 0.03 * rng.normal(size=count)


NOISES: dict[str, Maker] = {
    "breeze": _breeze, "lorry": _lorry, "grinder": _grinder, "chatter": _chatter, "tin roof": _tin_roof,
    "fan heater": _fan_heater, "music box": _music_box, "footsteps": _footsteps,
}  # fmt: skip


def microphone(rng: np.random.Generator) -> Callable[[np.ndarray], np.ndarray]:
    """A linear microphone drawn at random: where it begins and ends to hear, and a tilt."""
    low, high = rng.uniform(60, 300), rng.choice([3300, 6000, 7600])
    sos = signal.cheby1(int(rng.integers(2, 5)), 1.0, [low, high], "band", fs=MADE_HZ, output="sos")
    tilt = rng.uniform(-0.4, 0.6)
    return lambda sound: signal.lfilter([1.0, -tilt], [1.0], signal.sosfilt(sos, sound))


def electronics(sound: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    """Levelled in blocks, limited softly, and as loud as it happens to be; within -1 to 1."""
    strength, block = rng.choice([0.0, rng.uniform(0.1, 0.7)]), int(rng.uniform(0.08, 0.5) * MADE_HZ)
    power = signal.fftconvolve(sound**2, np.ones(block) / block, mode="full")[: len(sound)]
    level = np.sqrt(np.maximum(power, 1e-4 * power.max()) + 1e-12)
    sound = sound / (level / level.max()) ** strength
    sound = sound / (np.percentile(np.abs(sound), 99.7) + 1e-9)
    drive = rng.uniform(1.5, 5) if rng.random() < 0.2 else 0.5
    return np.tanh(drive * sound) * 10 ** (rng.uniform(-24, -1) / 20)
