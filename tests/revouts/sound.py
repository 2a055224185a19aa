"""From what the engine did to what a phone records: exhaust, mechanics, room, phone. Noise comes from noises.py."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import signal

from tests.revouts.engine import Truth, Turns

MADE_HZ = 16000


@dataclass(frozen=True)
class Place:
    """Exhaust, room and phone. Resonances stay where they are while the orders move. Levels are shares."""

    resonances_hz: tuple[float, ...]
    sharpness: float
    pulse_s: float  # length of the exhaust's pressure pulse
    pumping: float  # what a turn without firing still pumps out, share of a firing
    hiss: float  # gas noise within a firing
    mechanics: float
    bangs: float  # probability of an after-fire bang when firing comes back
    echoes: int
    echo_level: float
    tail_s: float
    highpass_hz: float
    highpass_steps: int
    lowpass_hz: float
    agc: float  # 0 none, 1 levels everything
    agc_s: float
    overdrive: float  # 1 just reaches full scale


def engine_sound(turns: Turns, truth: Truth, begins_s: float, place: Place, rng: np.random.Generator) -> np.ndarray:
    """The engine without noise, before the phone, at MADE_HZ, from `begins_s` of the engine's time on."""
    count = int(truth.seconds * MADE_HZ)
    pulses, flow = np.zeros(count + 2), np.zeros(count + 2)
    at = (np.array(turns.at_s) - begins_s) * MADE_HZ
    rpm, fired = np.array(turns.rpm), np.array(turns.fired)
    opened = np.array(turns.throttle)
    load = 0.25 + 0.75 * opened
    level = np.array(turns.strength) * load * (0.5 + 0.5 * rpm / rpm.max())
    level += place.pumping * load * (0.5 + 0.5 * rpm / rpm.max()) * (1 + 0.1 * rng.normal(size=len(at)))
    came_back = np.flatnonzero(fired[3:] & ~fired[2:-1] & ~fired[1:-2] & ~fired[:-3]) + 3
    level[came_back] *= 1 + 1.5 * (rng.random(len(came_back)) < place.bangs)
    at = at + rng.normal(size=len(at)) * 0.004 * MADE_HZ * 60 / rpm
    inside = (at >= 0) & (at < count)
    at, level = at[inside], level[inside]
    whole = at.astype(int)
    np.add.at(pulses, whole, level * (1 - (at - whole)))
    np.add.at(pulses, whole + 1, level * (at - whole))
    ticks = np.zeros(count + 2)
    np.add.at(ticks, whole, 1.0)
    flow = signal.lfilter(*_decay(place.pulse_s * 1.5), pulses)
    pressure = signal.lfilter(*_decay(place.pulse_s), pulses)
    pressure = np.diff(pressure, prepend=0.0) + 0.15 * pressure
    exhaust = pressure * 1.0
    for index, hz in enumerate(place.resonances_hz):
        b, a = signal.iirpeak(min(hz, 7000), place.sharpness * (0.6 + 0.2 * index), fs=MADE_HZ)
        exhaust += signal.lfilter(b, a, pressure) * 2.5
    exhaust /= np.std(exhaust) + 1e-9
    gas = rng.normal(size=count + 2) * np.abs(flow) / (np.mean(np.abs(flow)) + 1e-9)
    exhaust += place.hiss * gas
    clatter = signal.lfilter(*signal.iirpeak(3100, 4, fs=MADE_HZ), signal.lfilter(*_decay(0.002), ticks))
    clatter = clatter / (np.std(clatter) + 1e-9) * 0.7 + 0.5 * rng.normal(size=count + 2)
    return (exhaust + place.mechanics * clatter)[:count]


def _decay(length_s: float) -> tuple[list[float], list[float]]:
    keep = float(np.exp(-1 / (length_s * MADE_HZ)))
    return [1 - keep], [1.0, -keep]


def in_the_yard(dry: np.ndarray, place: Place, rng: np.random.Generator) -> np.ndarray:
    """Early reflections and a short tail."""
    length = int(max(place.tail_s, 0.05) * MADE_HZ)
    room = np.zeros(length)
    room[0] = 1.0
    for _ in range(place.echoes):
        room[int(rng.uniform(0.002, 0.04) * MADE_HZ)] += place.echo_level * rng.uniform(-1, 1)
    fade = np.exp(-6.9 * np.arange(length) / length)
    room += place.echo_level * 0.04 * rng.normal(size=length) * fade
    return signal.fftconvolve(dry, room)[: len(dry)]


def through_the_phone(heard: np.ndarray, place: Place) -> np.ndarray:
    """High-pass, low-pass, automatic gain, overdrive; within -1 to 1."""
    sos = signal.butter(place.highpass_steps, place.highpass_hz, "high", fs=MADE_HZ, output="sos")
    heard = signal.sosfilt(sos, heard)
    if place.lowpass_hz < MADE_HZ / 2:
        heard = signal.sosfilt(signal.butter(4, place.lowpass_hz, fs=MADE_HZ, output="sos"), heard)
    loudness = np.sqrt(signal.lfilter(*_decay(place.agc_s), heard**2) + 1e-8)
    heard = heard / (loudness / loudness.max()) ** place.agc
    heard = heard / (np.percentile(np.abs(heard), 99.9) + 1e-9) * place.overdrive * 0.9
    return np.clip(heard, -1.0, 1.0)
