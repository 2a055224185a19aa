"""Makes the sounds that a guide teaches with: `python -m tests.revouts.taught`. No engine was recorded.

One engine on the stand, put out of order in one way at a time by the model of engine.py, without noise from outside.
Each sound is an MP3, which every browser plays without help, and a picture of its speed, drawn from the model's truth.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from diagnostics.hearing.core.hear import hear
from diagnostics.hearing.core.heard import Heard
from diagnostics.hearing.decoding.decode_child import decoded
from tests.revouts.codecs import Codec, encoded
from tests.revouts.engine import Engine, Truth, Turns, run
from tests.revouts.sound import Place, engine_sound, in_the_yard, through_the_phone
from tests.revouts.taught_trace import trace

FOLDER = Path(__file__).resolve().parents[2] / "static" / "sounds"
CODEC = Codec("mp3-64", "mp3", "libmp3lame", 32000, 64000)  # as the clips that are kept: playable.py
PEAK = 0.6  # of full scale

# The Corrick 185 of the demo: its design speed is DESIGN_RPM, and it clears it a little without load.
DESIGN_RPM = 8800
TOP_RPM = 9400
LIMIT_RPM = 8900

STAND = Place(
    resonances_hz=(150, 390, 880),
    sharpness=4,
    pulse_s=0.002,
    pumping=0.12,
    hiss=0.08,
    mechanics=0.08,
    bangs=0.15,
    echoes=2,
    echo_level=0.15,
    tail_s=0.08,
    highpass_hz=60,
    highpass_steps=1,
    lowpass_hz=7500,
    agc=0,
    agc_s=0.3,
    overdrive=0.8,
)


@dataclass(frozen=True)
class Lesson:
    """name: of its files. kind: of engine.py. turns_from_s: where its drawn turns begin."""

    name: str
    kind: str
    seed: int
    turns_from_s: float
    ceiling_share: float = 1.0
    spread: float = 0.03
    idle_rpm: float = 1500
    hold_s: float = 3.0
    heats_after_s: float = 0.8


LESSONS = (  # the seeds were sought so that the rhythm lasts: nearly every fourth turn where that is said
    Lesson("clean", "healthy", 1, 3.5),
    Lesson("rich", "rich", 332, 2.54),
    Lesson("very-rich", "eight", 344, 3.2),
    Lesson("false-ceiling", "breaks", 1, 2.62, ceiling_share=0.68),
    Lesson("fails-warm", "heats", 37, 2.79, ceiling_share=0.6, heats_after_s=1.4, hold_s=3.6),
    Lesson("limiter", "limiter", 1, 2.34, ceiling_share=LIMIT_RPM / TOP_RPM, spread=0.025),
    Lesson("unnamed-1", "breaks", 2, 2.46, ceiling_share=0.76, idle_rpm=1700),
    Lesson("unnamed-2", "eight", 176, 3.26, idle_rpm=1400),
    Lesson("unnamed-3", "heats", 3, 3.09, ceiling_share=0.7, idle_rpm=1600, heats_after_s=1.7, hold_s=3.6),
)


def run_of(lesson: Lesson) -> tuple[Turns, Truth, np.random.Generator]:
    """What the engine did, and the generator that goes on drawing."""
    rng = np.random.default_rng([11, lesson.seed])
    engine = Engine(
        kind=lesson.kind,
        fires_per_turn=1,
        idle_rpm=lesson.idle_rpm,
        top_rpm=TOP_RPM,
        climb_rpm_s=9000,
        friction_rpm_s=6000,
        opens_s=1.2,
        opening_s=0.5,
        hold_s=lesson.hold_s,
        after_s=1.0,
        ceiling_share=lesson.ceiling_share,
        spread=lesson.spread,
        heats_after_s=lesson.heats_after_s,
        uneven=0.06,
        idle_skips=0.08,
    )
    return *run(engine, rng), rng


def sound(turns: Turns, truth: Truth, rng: np.random.Generator) -> bytes:
    """The file."""
    heard = through_the_phone(in_the_yard(engine_sound(turns, truth, 0.0, STAND, rng), STAND, rng), STAND)
    return encoded(PEAK * heard / np.abs(heard).max(), CODEC)


def picture(lesson: Lesson, turns: Turns, truth: Truth) -> str:
    return trace(turns, truth, design_rpm=DESIGN_RPM, turns_from_s=lesson.turns_from_s)


def heard_in(path: Path) -> Heard:
    """What the project's own ear makes of a file."""
    return hear(decoded(str(path)), 1.0)


def write() -> None:
    """Refuses a sound that the ear judges as something else than it is. A new mark goes into core/guides/sounds.py."""
    FOLDER.mkdir(exist_ok=True)
    for lesson in LESSONS:
        for old in FOLDER.glob(f"{lesson.name}.*"):
            old.unlink()
        turns, truth, rng = run_of(lesson)
        file, drawn = sound(turns, truth, rng), picture(lesson, turns, truth)
        mark = mark_of(file, drawn)
        path = FOLDER / f"{lesson.name}.{mark}.mp3"
        path.write_bytes(file)
        path.with_suffix(".svg").write_text(drawn, encoding="utf-8")
        heard = heard_in(path)
        if heard.verdict != truth.verdict:
            raise SystemExit(f"{lesson.name} is {truth.verdict}; heard was {heard.verdict}")
        print(f"{lesson.name}, mark {mark}, {len(file) / 1000:.0f} kB, {heard.verdict}")  # noqa: T201


def mark_of(file: bytes, drawn: str) -> str:
    """Part of both files' names: another sound has another address, so a browser may keep each for good."""
    return hashlib.sha256(file + drawn.encode()).hexdigest()[:8]


if __name__ == "__main__":
    write()
