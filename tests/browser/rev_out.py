"""A rev-out to hold a phone at: made by the model of tests/revouts, idling long enough to get to the throttle."""

from __future__ import annotations

import wave
from pathlib import Path

import numpy as np

from tests.revouts.codecs import CODECS, encoded
from tests.revouts.engine import Engine, run
from tests.revouts.sound import MADE_HZ, Place, engine_sound, in_the_yard, through_the_phone

PEAK = 0.5  # of full scale: what the page calls good
PLACE = Place(
    resonances_hz=(160, 420, 950),
    sharpness=5,
    pulse_s=0.002,
    pumping=0.15,
    hiss=0.15,
    mechanics=0.15,
    bangs=0.1,
    echoes=3,
    echo_level=0.2,
    tail_s=0.1,
    highpass_hz=100,
    highpass_steps=1,
    lowpass_hz=7000,
    agc=0,
    agc_s=0.3,
    overdrive=0.8,
)


def sound(kind: str, *, idles_s: float) -> np.ndarray:
    """kind: of tests/revouts/engine.py, as "healthy" or "breaks"; the throttle opens after `idles_s`."""
    rng = np.random.default_rng(7)
    engine = Engine(
        kind=kind,
        fires_per_turn=1,
        idle_rpm=1500,
        top_rpm=8500,
        climb_rpm_s=9000,
        friction_rpm_s=6000,
        opens_s=idles_s,
        opening_s=0.8,
        hold_s=3,
        after_s=6,
    )
    turns, truth = run(engine, rng)
    heard = through_the_phone(in_the_yard(engine_sound(turns, truth, 0.0, PLACE, rng), PLACE, rng), PLACE)
    return PEAK * heard / np.abs(heard).max()


def clip(kind: str) -> bytes:
    """What a phone's own recorder makes of it: AAC in an mp4."""
    return encoded(sound(kind, idles_s=2.5), CODECS["aac64"])


def write_wav(path: Path, heard: np.ndarray) -> Path:
    """For the microphone that a browser of a test is given."""
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(MADE_HZ)
        file.writeframes((np.clip(heard, -1, 1) * 32767).astype("<i2").tobytes())
    return path
