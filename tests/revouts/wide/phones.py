"""What a phone makes of the sound: its microphone, levelling, noise suppression, overdrive."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import signal

from tests.revouts.sound import MADE_HZ

FRAME = 512


@dataclass(frozen=True)
class Phone:
    highpass_hz: float
    highpass_steps: int
    lowpass_hz: float
    presence_hz: float
    presence: float
    levelling: float  # 0 none, 1 everything as loud as everything else
    levelling_s: float
    suppression: float  # 0 none; share of the noise that is taken off
    loud_db: float  # of the loudest parts over full scale


def drawn_phone(rng: np.random.Generator) -> Phone:
    return Phone(
        highpass_hz=rng.uniform(50, 280),
        highpass_steps=int(rng.integers(1, 4)),
        lowpass_hz=float(rng.choice([3400, 5500, 7500])),
        presence_hz=rng.uniform(1500, 4500),
        presence=rng.uniform(0, 1.2),
        levelling=rng.uniform(0, 0.8) if rng.random() < 0.65 else 0.0,
        levelling_s=rng.uniform(0.05, 0.8),
        suppression=rng.uniform(0.5, 0.95) if rng.random() < 0.12 else 0.0,
        loud_db=rng.uniform(3, 14) if rng.random() < 0.18 else rng.uniform(-26, -1),
    )


def through_the_microphone(sound: np.ndarray, phone: Phone) -> np.ndarray:
    """The linear part, so that engine and noise can be weighed as they are heard."""
    sos = signal.butter(phone.highpass_steps, phone.highpass_hz, "high", fs=MADE_HZ, output="sos")
    sound = signal.sosfilt(sos, sound)
    sound = signal.sosfilt(signal.butter(2, phone.lowpass_hz, fs=MADE_HZ, output="sos"), sound)
    return sound + phone.presence * signal.lfilter(*signal.iirpeak(phone.presence_hz, 1.2, fs=MADE_HZ), sound)


def recorded(sound: np.ndarray, phone: Phone) -> np.ndarray:
    """What is left after the phone's electronics; within -1 to 1."""
    if phone.suppression:
        sound = _suppressed(sound, phone.suppression)
    if phone.levelling:
        keep = float(np.exp(-1 / (phone.levelling_s * MADE_HZ)))
        level = np.sqrt(signal.lfilter([1 - keep], [1.0, -keep], sound**2) + 1e-9 * np.mean(sound**2) + 1e-12)
        sound = sound / (np.maximum(level, 0.03 * level.max()) / level.max()) ** phone.levelling
    loudest = np.percentile(np.abs(sound), 99.8) + 1e-9
    return np.clip(sound / loudest * 10 ** (phone.loud_db / 20), -0.99, 0.99)


def _suppressed(sound: np.ndarray, share: float) -> np.ndarray:
    """Takes off what is heard all the time: the quiet part of each band's level over the clip."""
    _, _, frames = signal.stft(sound, MADE_HZ, nperseg=FRAME)
    level = np.abs(frames)
    floor = np.percentile(level, 20, axis=1, keepdims=True) * 1.5
    kept = np.maximum(1 - share * floor**2 / (level**2 + 1e-12), 1 - share)
    return signal.istft(frames * kept, MADE_HZ, nperseg=FRAME)[1][: len(sound)]
