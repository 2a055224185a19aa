"""Modelled impulse responses of a yard, a shed, a workshop, with an exact ratio of direct to reverberant sound.

A direct sound of 1, a few early reflections, and noise that dies away, the high notes sooner (Schroeder's statistical
model of a room; common practice). Decay is the time for 60 dB.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import signal

from tests.revouts.sound import MADE_HZ

SIXTY_DB = 6.908  # natural logarithm of 1000
BANDS_HZ = (500.0, 2000.0)
LASTS = (1.15, 1.0, 0.6)  # the decay time of the three bands, relative


@dataclass(frozen=True)
class Room:
    """drr_db: direct sound over everything that comes after it. early: reflections heard one by one."""

    drr_db: float
    decay_s: float
    early: int
    early_share: float  # of the reverberant energy
    begins_s: float  # of the tail


def drawn_room(rng: np.random.Generator) -> Room:
    """Half of them have walls around: -4 to 12 dB and 0.2 to 1.2 s. The others are yards."""
    if rng.random() < 0.5:
        drr_db, decay_s, early = rng.uniform(-4, 12), rng.uniform(0.2, 1.2), int(rng.integers(5, 14))
    else:
        drr_db, decay_s, early = rng.uniform(8, 24), rng.uniform(0.06, 0.3), int(rng.integers(1, 6))
    return Room(drr_db, decay_s, early, rng.uniform(0.15, 0.7), rng.uniform(0.002, 0.012))


def response(room: Room, rng: np.random.Generator) -> np.ndarray:
    """The room's answer to a click, at MADE_HZ; its first sample is the direct sound."""
    count = int(room.decay_s * 1.2 * MADE_HZ) + 2
    at_s = np.arange(count) / MADE_HZ
    tail = np.zeros(count)
    for band, lasts in zip(_bands(rng.normal(size=count)), LASTS, strict=True):
        tail += band * np.exp(-SIXTY_DB * at_s / (room.decay_s * lasts))
    tail *= at_s > room.begins_s
    early = np.zeros(count)
    places = (rng.uniform(0.0012, min(0.045, at_s[-1]), room.early) * MADE_HZ).astype(int)
    early[places] += (
        rng.choice([-1, 1], room.early) * rng.uniform(0.3, 1, room.early) * np.exp(-places / MADE_HZ / 0.03)
    )
    parts = np.sqrt(room.early_share) * _unit(early) + np.sqrt(1 - room.early_share) * _unit(tail)
    out = _unit(parts) * 10 ** (-room.drr_db / 20)
    out[0] = 1.0
    return out


def _bands(noise: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    low, high = (
        signal.sosfilt(signal.butter(2, BANDS_HZ[0], "low", fs=MADE_HZ, output="sos"), noise),
        signal.sosfilt(signal.butter(2, BANDS_HZ[1], "high", fs=MADE_HZ, output="sos"), noise),
    )
    return 2 * low, noise - low - high, 0.7 * high


def _unit(parts: np.ndarray) -> np.ndarray:
    """Scaled to an energy of 1, without the place of the direct sound."""
    parts = parts.copy()
    parts[0] = 0.0
    return parts / (np.sqrt(np.sum(parts**2)) + 1e-12)


def drr_db(response_at: np.ndarray) -> float:
    return float(10 * np.log10(response_at[0] ** 2 / np.sum(response_at[1:] ** 2)))


def in_the_room(dry: np.ndarray, room: Room, rng: np.random.Generator) -> np.ndarray:
    return signal.oaconvolve(dry, response(room, rng))[: len(dry)]
