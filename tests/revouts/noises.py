"""What else is heard in a yard: wind, traffic, a compressor, voices, music, tools. Mean square 1, at MADE_HZ."""

from __future__ import annotations

import numpy as np
from scipy import signal

from tests.revouts.sound import MADE_HZ

KINDS = ("wind", "traffic", "compressor", "voices", "hum", "rain", "barks")
WITHOUT_ENGINE = (*KINDS, "music", "silence", "beeps", "drill", "whoop", "hammer")
WIDE_KINDS = (*KINDS, "gusts", "workshop", "beating", "radio", "hiss")  # KINDS stays as it is: its clips are kept


def noise(kind: str, seconds: float, rng: np.random.Generator) -> np.ndarray:
    """One kind of noise, mean square 1 (silence: next to nothing)."""
    count = int(seconds * MADE_HZ)
    sound = _MAKERS[kind](count, rng)
    return sound / (np.std(sound) + 1e-9) * (1e-4 if kind == "silence" else 1.0)


def _shaped(count: int, rng: np.random.Generator, slope: float, corner_hz: float) -> np.ndarray:
    spectrum = np.fft.rfft(rng.normal(size=count))
    hz = np.fft.rfftfreq(count, 1 / MADE_HZ)
    return np.fft.irfft(spectrum / (1 + (hz / corner_hz)) ** slope, count)


def _slow(count: int, rng: np.random.Generator, hz: float) -> np.ndarray:
    points = rng.normal(size=int(count / MADE_HZ * hz) + 3)
    return np.interp(np.arange(count) * hz / MADE_HZ, np.arange(len(points)), points)


def _wind(count: int, rng: np.random.Generator) -> np.ndarray:
    return _shaped(count, rng, rng.uniform(1.8, 3), rng.uniform(40, 150)) * np.exp(_slow(count, rng, 1.5))


def _traffic(count: int, rng: np.random.Generator) -> np.ndarray:
    return _shaped(count, rng, rng.uniform(1, 1.6), 400) * np.exp(0.5 * _slow(count, rng, 0.4))


def _compressor(count: int, rng: np.random.Generator) -> np.ndarray:
    turn_hz, at_s = rng.uniform(12, 25), np.arange(count) / MADE_HZ
    shape = sum(
        rng.uniform(0.2, 1) / k**0.5 * np.sin(2 * np.pi * k * turn_hz * at_s + rng.uniform(0, 6)) for k in range(1, 30)
    )
    return shape + 1.5 * _shaped(count, rng, 1, 800)


def _hum(count: int, rng: np.random.Generator) -> np.ndarray:
    at_s = np.arange(count) / MADE_HZ
    return sum(rng.uniform(0.1, 1) * np.sin(2 * np.pi * 50 * k * at_s) for k in (1, 2, 3, 4, 6)) + 0.3 * rng.normal(
        size=count
    )


def _rain(count: int, rng: np.random.Generator) -> np.ndarray:
    drops = (rng.random(count) < 0.004) * rng.exponential(size=count)
    return (
        signal.lfilter(*signal.butter(2, [400, 5000], "band", fs=MADE_HZ), drops) * 3
        + _shaped(count, rng, 0.5, 1000) * 0.3
    )


def _voices(count: int, rng: np.random.Generator) -> np.ndarray:
    """Vowels with gliding pitch in words with pauses."""
    out = np.zeros(count)
    for _ in range(int(rng.integers(1, 3))):
        base_hz = rng.uniform(90, 240)
        pitch_hz = base_hz * np.exp(0.18 * _slow(count, rng, 4))
        buzz = signal.sawtooth(2 * np.pi * np.cumsum(pitch_hz) / MADE_HZ) + 0.1 * rng.normal(size=count)
        loud = np.clip(_slow(count, rng, 5) + 0.3, 0, None)
        for hz in (rng.uniform(400, 800), rng.uniform(1000, 2000), rng.uniform(2300, 3000)):
            out += signal.lfilter(*signal.iirpeak(hz, 6, fs=MADE_HZ), buzz) * loud
    return out


def _barks(count: int, rng: np.random.Generator) -> np.ndarray:
    """A dog, or somebody coughing: short bursts, far louder than what lies between, with a falling pitch."""
    out, hz = 0.01 * rng.normal(size=count), rng.uniform(250, 900)
    now_s = rng.uniform(0.1, 1.0)
    while now_s < count / MADE_HZ:
        at_s = np.arange(int(rng.uniform(0.08, 0.35) * MADE_HZ)) / MADE_HZ
        phase = 2 * np.pi * np.cumsum(hz * rng.uniform(0.8, 1.2) * np.exp(-1.5 * at_s)) / MADE_HZ
        rough = rng.uniform(0.2, 1.5) * rng.normal(size=len(at_s))
        loud = rng.uniform(0.4, 1) * np.minimum(at_s / 0.01, 1) * np.exp(-at_s / (0.35 * at_s[-1]))
        start = int(now_s * MADE_HZ)
        part = (signal.sawtooth(phase) + rough) * loud
        out[start : start + len(part)] += part[: count - start]
        now_s += at_s[-1] + rng.uniform(0.15, 1.5)
    return out


def _music(count: int, rng: np.random.Generator) -> np.ndarray:
    at_s = np.arange(count) / MADE_HZ
    out, beat = np.zeros(count), int(MADE_HZ * rng.uniform(0.2, 0.5))
    for start in range(0, count, beat):
        root = 55 * 2 ** (rng.choice([0, 2, 3, 5, 7, 8, 10, 12, 14, 15, 19]) / 12)
        part = at_s[start : start + 2 * beat] - at_s[start]
        for ratio in (1, 1.5, 2 ** (4 / 12) * 2):
            tone = sum(np.sin(2 * np.pi * root * ratio * k * part) / k for k in range(1, 8))
            out[start : start + 2 * beat] += tone * np.exp(-part * 4)
    return out


def _silence(count: int, rng: np.random.Generator) -> np.ndarray:
    return rng.normal(size=count)


def _beeps(count: int, rng: np.random.Generator) -> np.ndarray:
    at_s = np.arange(count) / MADE_HZ
    return np.sin(2 * np.pi * rng.uniform(600, 2500) * at_s) * (at_s % 0.8 < 0.4) + 0.05 * rng.normal(size=count)


def _drill(count: int, rng: np.random.Generator) -> np.ndarray:
    """An electric tool: a fast whine that spins up at once, with commutator noise."""
    at_s = np.arange(count) / MADE_HZ
    hz = rng.uniform(300, 700) * (1 - np.exp(-np.clip(at_s - 1.0, 0, None) / 0.08))
    phase = 2 * np.pi * np.cumsum(hz) / MADE_HZ
    return (np.sin(phase) + 0.6 * np.sin(2 * phase) + 0.5 * rng.normal(size=count)) * (at_s > 1.0) + 0.02 * rng.normal(
        size=count
    )


def _whoop(count: int, rng: np.random.Generator) -> np.ndarray:
    """A siren: one gliding tone, up and down."""
    at_s = np.arange(count) / MADE_HZ
    hz = rng.uniform(500, 800) * 2 ** (0.5 * np.sin(2 * np.pi * at_s / rng.uniform(1, 4)))
    return np.sin(2 * np.pi * np.cumsum(hz) / MADE_HZ) + 0.1 * rng.normal(size=count)


def _hammer(count: int, rng: np.random.Generator) -> np.ndarray:
    blows = np.zeros(count)
    blows[(np.arange(0.3, count / MADE_HZ, rng.uniform(0.15, 0.7)) * MADE_HZ).astype(int)] = 1
    ring = sum(signal.lfilter(*signal.iirpeak(hz, 60, fs=MADE_HZ), blows) for hz in rng.uniform(400, 4000, 4))
    return ring + 0.002 * rng.normal(size=count)


def _gusts(count: int, rng: np.random.Generator) -> np.ndarray:
    """Wind that buffets the microphone: low rumble in gusts, and on top of them short thumps."""
    gust = np.exp(1.2 * _slow(count, rng, rng.uniform(0.5, 2.5)))
    thumps = np.clip(_slow(count, rng, 9) - 1, 0, None) ** 2
    rumble = _shaped(count, rng, rng.uniform(1.5, 2.5), rng.uniform(60, 250))
    band = signal.sosfilt(signal.butter(2, [60, 900], "band", fs=MADE_HZ, output="sos"), rng.normal(size=count))
    return gust * (rumble / np.std(rumble) + 0.7 * thumps * band / np.std(band))


def _workshop(count: int, rng: np.random.Generator) -> np.ndarray:
    """Spanners that drop and ring, a ratchet, something that hums."""
    out = 0.1 * _shaped(count, rng, 1, 500)
    for _ in range(int(count / MADE_HZ * rng.uniform(0.8, 3.5)) + 1):
        start, last = int(rng.integers(count)), int(rng.uniform(0.05, 0.5) * MADE_HZ)
        at_s = np.arange(min(last, count - start)) / MADE_HZ
        clicks = (1.0, *rng.uniform(0.2, 0.8, int(rng.integers(0, 5))))
        for index, loud in enumerate(clicks):
            part = at_s[: max(len(at_s) - int(index * 0.04 * MADE_HZ), 0)]
            ring = sum(
                np.sin(2 * np.pi * hz * part) * np.exp(-part * rng.uniform(10, 80)) for hz in rng.uniform(500, 5500, 4)
            )
            out[start + len(at_s) - len(part) : start + len(at_s)] += loud * rng.uniform(0.3, 1.5) * ring
    return out


def _beating(count: int, rng: np.random.Generator) -> np.ndarray:
    """Another machine that beats: a piston compressor or a pump, each stroke a puff, over mains hum."""
    turns = np.cumsum(rng.uniform(9, 32) * (1 + 0.01 * _slow(count, rng, 1))) / MADE_HZ
    puff = np.exp(-(turns % 1.0) * rng.uniform(6, 16)) * rng.normal(size=count)
    puff = signal.sosfilt(signal.butter(2, [90, rng.uniform(900, 2500)], "band", fs=MADE_HZ, output="sos"), puff)
    return puff / np.std(puff) + 0.4 * _hum(count, rng)


def _radio(count: int, rng: np.random.Generator) -> np.ndarray:
    spoken = _music(count, rng) if rng.random() < 0.6 else _voices(count, rng)
    return signal.sosfilt(signal.butter(2, [250, 4000], "band", fs=MADE_HZ, output="sos"), spoken)


def _hiss(count: int, rng: np.random.Generator) -> np.ndarray:
    return _shaped(count, rng, rng.uniform(0, 0.5), 2000)


_MAKERS = {
    "wind": _wind, "traffic": _traffic, "compressor": _compressor, "voices": _voices, "hum": _hum, "rain": _rain,
    "barks": _barks, "music": _music, "silence": _silence, "beeps": _beeps, "drill": _drill, "whoop": _whoop,
    "hammer": _hammer, "gusts": _gusts, "workshop": _workshop, "beating": _beating, "radio": _radio, "hiss": _hiss,
}  # fmt: skip
