"""From what each firing did to the sound at the tail pipe and around the engine, dry, at MADE_HZ.

Unlike sound.py the pulse's length follows the crank, its shape differs from engine to engine, a pipe with a lossy loop
answers it, and intake, fan and piston follow the crank whether it fires or not.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import signal

from tests.revouts.sound import MADE_HZ
from tests.revouts.wide.crank import Crank, Turned

SHAPES = ("bump", "steep", "double", "ring")
LENGTHS_S = np.geomspace(0.0002, 0.004, 9)
LONGEST_PULSE = 12  # lengths


@dataclass(frozen=True)
class Exhaust:
    """Levels are shares of the exhaust's mean square or of a firing; lengths in degrees of crank, s, Hz."""

    shape: str
    pulse_degrees: float
    idle_level: float
    pumping: float  # what a turn without firing still pushes out
    hiss: float
    pipe_s: float
    pipe_gain: float
    pipe_dulls: float
    modes_hz: tuple[float, ...]
    modes_sharpness: float
    straight: float  # what bypasses the silencer's modes
    lowpass_hz: float
    intake: float
    fan: float
    blades: int
    slap: float
    late: float  # spread of the firing's moment, share of a period


def drawn_exhaust(rng: np.random.Generator) -> Exhaust:
    modes = np.exp(rng.uniform(np.log(110), np.log(3800), int(rng.integers(3, 9))))
    return Exhaust(
        shape=str(rng.choice(SHAPES)),
        pulse_degrees=rng.uniform(8, 28),
        idle_level=rng.uniform(0.2, 0.6),
        pumping=rng.uniform(0.02, 0.25),
        hiss=rng.uniform(0.03, 0.45),
        pipe_s=rng.uniform(0.0025, 0.009),
        pipe_gain=rng.uniform(0.15, 0.75),
        pipe_dulls=rng.uniform(0.15, 0.6),
        modes_hz=tuple(float(hz) for hz in modes),
        modes_sharpness=rng.uniform(2, 12),
        straight=rng.uniform(0.1, 0.7),
        lowpass_hz=rng.uniform(1200, 6500),
        intake=rng.uniform(0.0, 0.5),
        fan=rng.uniform(0.0, 0.35),
        blades=int(rng.integers(9, 26)),
        slap=rng.uniform(0.0, 0.4),
        late=rng.uniform(0.0, 0.025),
    )


def pulse(shape: str, length_s: float) -> np.ndarray:
    """Pressure of one firing, sampled at MADE_HZ; greatest 1."""
    at = (np.arange(int(length_s * LONGEST_PULSE * MADE_HZ) + 4) + 0.5) / MADE_HZ / length_s
    if shape == "bump":
        out = at * np.exp(1 - at) - 0.15 * at**2 * np.exp(-at / 2)
    elif shape == "steep":  # a shock front that falls through nought
        out = (1 - at / 1.6) * np.exp(-at / 1.6)
    elif shape == "double":  # blow-down, then scavenging
        out = at * np.exp(1 - at) + 0.6 * np.exp(-((at - 4.5) ** 2) / 2) - 0.35 * np.exp(-((at - 7) ** 2) / 6)
    else:
        out = np.exp(-at / 2.2) * np.cos(1.9 * at)
    return out / np.abs(out).max()


def loudness(turned: Turned, exhaust: Exhaust, rng: np.random.Generator) -> np.ndarray:
    """How loud each possible firing is, a missing one as far as it still pumps."""
    rpm, throttle = np.array(turned.rpm), np.array(turned.throttle)
    filled = exhaust.idle_level + (1 - exhaust.idle_level) * throttle * (0.4 + 0.6 * rpm / rpm.max())
    pumped = exhaust.pumping * (1 + 0.2 * rng.normal(size=len(rpm)))
    return filled * np.where(turned.fired, np.array(turned.strength), pumped)


def engine_sound(crank: Crank, turned: Turned, exhaust: Exhaust, rng: np.random.Generator) -> np.ndarray:
    """The dry engine from `starts_at_s` on; mean square about 1."""
    count = int((crank.ends_s - crank.starts_at_s) * MADE_HZ)
    rpm = np.array(turned.rpm)
    at_s = np.array(turned.at_s) - crank.starts_at_s + exhaust.late * rng.normal(size=len(rpm)) * 60 / rpm
    pressure, flow = _pulses(at_s, loudness(turned, exhaust, rng), rpm, exhaust, count)
    hissing = signal.sosfilt(_band(350, 6500), rng.normal(size=count))
    out = _piped(pressure + exhaust.hiss * flow * hissing, exhaust)
    return _unit(out) + _around(crank, turned, exhaust, count, rng)


def _pulses(
    at_s: np.ndarray, level: np.ndarray, rpm: np.ndarray, exhaust: Exhaust, count: int
) -> tuple[np.ndarray, np.ndarray]:
    """Pressure and flow. Pulses lie between the nearest two of LENGTHS_S, as the crank stretches them."""
    inside = (at_s >= 0) & (at_s < count / MADE_HZ - 1e-3)
    at, level = at_s[inside] * MADE_HZ, level[inside]
    length_s = exhaust.pulse_degrees / 360 * 60 / rpm[inside]
    place = np.interp(np.log(length_s), np.log(LENGTHS_S), np.arange(len(LENGTHS_S)))
    whole = at.astype(int)
    pressure, flow = np.zeros(count), np.zeros(count)
    for index, length in enumerate(LENGTHS_S):
        weight = np.maximum(0, 1 - np.abs(place - index)) * level
        if not weight.any():
            continue
        train = np.zeros(count + 1)
        np.add.at(train, whole, weight * (1 - (at - whole)))
        np.add.at(train, whole + 1, weight * (at - whole))
        shape = pulse(exhaust.shape, length)
        pressure += signal.oaconvolve(train, shape)[:count]
        flow += signal.oaconvolve(train, np.abs(shape))[:count]
    return np.diff(pressure, prepend=0.0) * 2 + 0.3 * pressure, flow


def _piped(pressure: np.ndarray, exhaust: Exhaust) -> np.ndarray:
    """Through a pipe whose open end sends each wave back inverted and duller, and a silencer's modes."""
    delay = int(exhaust.pipe_s * MADE_HZ)
    loop = np.zeros(delay + 2)
    loop[0] = 1.0
    loop[delay : delay + 2] += exhaust.pipe_gain * np.array([1 - exhaust.pipe_dulls, exhaust.pipe_dulls])
    piped = signal.lfilter([1.0], loop, pressure)
    out = exhaust.straight * piped
    for hz in exhaust.modes_hz:
        out += signal.lfilter(*signal.iirpeak(hz, exhaust.modes_sharpness, fs=MADE_HZ), piped) * (600 / hz) ** 0.2
    return signal.sosfilt(signal.butter(1, exhaust.lowpass_hz, fs=MADE_HZ, output="sos"), out)


def _around(crank: Crank, turned: Turned, exhaust: Exhaust, count: int, rng: np.random.Generator) -> np.ndarray:
    """Intake, fan and piston: they follow the crank."""
    at_s = np.arange(count) / MADE_HZ + crank.starts_at_s
    turns = np.interp(at_s, turned.at_s, np.arange(len(turned.at_s)) / crank.fires_per_turn)
    speed = np.interp(at_s, turned.at_s, turned.rpm) / crank.top_rpm
    throttle = np.interp(at_s, turned.at_s, turned.throttle)
    draws = np.clip(np.cos(2 * np.pi * (turns + rng.random())), 0, 1) ** 2
    breath = signal.sosfilt(_band(rng.uniform(200, 700), rng.uniform(1200, 3500)), rng.normal(size=count))
    whirr = signal.sosfilt(_band(600, 5000), rng.normal(size=count)) + np.sin(2 * np.pi * exhaust.blades * turns)
    knock = np.exp(-((turns + rng.random()) % 1.0) * rng.uniform(6, 25))
    clatter = signal.sosfilt(_band(1400, 6500), rng.normal(size=count)) * knock
    return (
        exhaust.intake * _unit(breath) * draws * (0.05 + throttle * speed)
        + exhaust.fan * _unit(whirr) * speed**1.6
        + exhaust.slap * _unit(clatter) * (0.1 + speed)
    )


def _band(low_hz: float, high_hz: float) -> np.ndarray:
    return signal.butter(2, [low_hz, high_hz], "band", fs=MADE_HZ, output="sos")


def _unit(sound: np.ndarray) -> np.ndarray:
    return sound / (np.std(sound) + 1e-9)
