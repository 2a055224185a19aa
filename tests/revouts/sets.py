"""Sets of rev-outs: one to fit on, one to choose on, one to report. No two share a seed.

More than half of the ranges of the reported set reach beyond the fitted ones, and most of those beyond the chosen ones
too. It also has codecs, rooms and noises that the others lack.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import islice

import numpy as np

from tests.revouts import noises
from tests.revouts.codecs import CODECS, Codec, encoded
from tests.revouts.engine import Engine, Truth, run
from tests.revouts.sound import MADE_HZ, Place, engine_sound, in_the_yard, through_the_phone

KINDS = ("healthy", "rich", "eight", "breaks", "mild", "heats", "limiter", "bog", "none", "short", "late")
ANSWERABLE = KINDS[:8]
Range = tuple[float, float]

FITTED: dict[str, Range] = {
    "idle_rpm": (1200, 2000),
    "top_rpm": (7000, 10500),
    "climb_rpm_s": (6000, 16000),
    "friction_rpm_s": (4000, 9000),
    "opening_s": (0.3, 1.1),
    "hold_s": (1.8, 3.2),
    "ceiling_share": (0.6, 0.85),
    "burst_firings": (6, 12),
    "spread": (0.02, 0.06),
    "uneven": (0.05, 0.15),
    "idle_skips": (0.0, 0.3),
    "bog_s": (0.2, 0.45),
    "sharpness": (3, 8),
    "pulse_s": (0.0012, 0.003),
    "pumping": (0.1, 0.25),
    "hiss": (0.05, 0.3),
    "mechanics": (0.05, 0.3),
    "bangs": (0.0, 0.3),
    "echo_level": (0.1, 0.4),
    "tail_s": (0.05, 0.25),
    "highpass_hz": (60, 200),
    "agc": (0.0, 0.6),
    "agc_s": (0.1, 0.5),
    "overdrive": (0.5, 1.1),
    "resonance_hz": (90, 1800),
    "snr_db": (0, 30),
}
# To choose on: more than half of the fitted ranges are widened.
CHOSEN: dict[str, Range] = {
    "idle_rpm": (950, 2300),
    "top_rpm": (5800, 12500),
    "climb_rpm_s": (5000, 22000),
    "opening_s": (0.15, 1.3),
    "hold_s": (1.4, 4.2),
    "ceiling_share": (0.5, 0.9),
    "burst_firings": (5, 16),
    "uneven": (0.03, 0.25),
    "idle_skips": (0.0, 0.45),
    "pumping": (0.06, 0.35),
    "mechanics": (0.03, 0.45),
    "tail_s": (0.05, 0.5),
    "highpass_hz": (40, 320),
    "agc": (0.0, 0.8),
    "resonance_hz": (70, 2600),
}
# To report: other ranges are widened. Friction, irregularity, bogging, exhaust, echoes, gain and overdrive are as
# neither of the other sets has them.
BEYOND: dict[str, Range] = {
    "top_rpm": (6000, 12000),
    "climb_rpm_s": (5500, 20000),
    "friction_rpm_s": (3000, 11000),
    "hold_s": (1.5, 4.0),
    "ceiling_share": (0.52, 0.88),
    "spread": (0.012, 0.08),
    "bog_s": (0.12, 0.55),
    "sharpness": (2, 12),
    "pulse_s": (0.0008, 0.0042),
    "hiss": (0.02, 0.45),
    "bangs": (0.0, 0.5),
    "echo_level": (0.05, 0.55),
    "tail_s": (0.05, 0.4),
    "agc_s": (0.06, 0.8),
    "overdrive": (0.4, 1.4),
}


@dataclass(frozen=True)
class Plan:
    """One set: its name and seed, ranges, codecs and noises."""

    name: str
    seed: int
    ranges: dict[str, Range]
    codecs: tuple[str, ...]
    noise_kinds: tuple[str, ...]


FIT = Plan("fit", 41, FITTED, ("wav", "aac64", "opus24", "mp3-64"), ("wind", "traffic", "voices", "hum"))
CHOOSE = Plan("choose", 52, FITTED | CHOSEN, ("wav", "aac64", "opus48", "mp3-128", "amr"), noises.KINDS)
REPORT = Plan(
    "report",
    202611281137,
    FITTED | BEYOND,
    ("aac32", "aac96s", "opus24", "mp3-64", "vorbis", "amr", "wav8", "flac"),
    noises.KINDS,
)


@dataclass(frozen=True)
class Clip:
    kind: str
    codec: Codec
    file: bytes
    truth: Truth | None
    snr_db: float
    fires_per_turn: float
    noise_kind: str


def clips(plan: Plan, each: int, kinds: tuple[str, ...] = KINDS) -> Iterator[Clip]:
    """`each` clips of every kind, always the same for the same plan. Kinds and codecs alternate."""
    for number in range(each):
        for kind in kinds:
            yield clip(plan, kind, number)


def drawn(plan: Plan, kind: str, number: int) -> tuple[dict[str, float], np.random.Generator]:
    """The clip's own numbers, and the generator that goes on drawing."""
    rng = np.random.default_rng([plan.seed, KINDS.index(kind), number])
    return {name: float(rng.uniform(*limits)) for name, limits in plan.ranges.items()}, rng


def quiet_ones(plan: Plan, kind: str, count: int) -> list[int]:
    """Numbers of the first clips with a signal to noise of 15 dB or better."""
    quiet = (number for number in range(1000) if drawn(plan, kind, number)[0]["snr_db"] >= 15)
    return list(islice(quiet, count))


def clip(plan: Plan, kind: str, number: int) -> Clip:
    codec = CODECS[plan.codecs[number % len(plan.codecs)]]
    draw, rng = drawn(plan, kind, number)
    if kind == "none":
        noise_kind = str(rng.choice(noises.WITHOUT_ENGINE))
        sound = noises.noise(noise_kind, rng.uniform(4, 10), rng) + 0.03 * noises.noise("traffic", 1, rng).std()
        heard = through_the_phone(sound, place_of(draw, rng)) * (1e-3 if noise_kind == "silence" else 1)
        return Clip(kind, codec, encoded(heard, codec), None, -99.0, 1.0, noise_kind)
    fires_per_turn = float(rng.choice([1, 1, 1, 1, 2, 0.5]))
    if kind in ("rich", "eight"):
        fires_per_turn = 1.0
    engine = engine_of(kind, fires_per_turn, draw, rng)
    if kind in ("short", "late"):
        engine = _unanswerable(kind, fires_per_turn, draw, rng)
    turns, truth = run(engine, rng)
    place = place_of(draw, rng)
    sound = in_the_yard(engine_sound(turns, truth, engine.starts_at_s, place, rng), place, rng)
    noise_kind = str(rng.choice(plan.noise_kinds))
    sound = with_noise(sound, noise_kind, truth, draw["snr_db"], rng)
    heard = through_the_phone(sound, place)
    return Clip(kind, codec, encoded(heard, codec), truth, draw["snr_db"], fires_per_turn, noise_kind)


def with_noise(sound: np.ndarray, kind: str, truth: Truth, snr_db: float, rng: np.random.Generator) -> np.ndarray:
    """The sound with noise `snr_db` below the engine's mean square in the hold."""
    start, end = (int(edge * MADE_HZ) for edge in (truth.held or (0.0, truth.seconds)))
    level = np.std(sound[start:end]) * 10 ** (-snr_db / 20)
    return sound + level * noises.noise(kind, len(sound) / MADE_HZ + 1, rng)[: len(sound)]


def engine_of(kind: str, fires_per_turn: float, draw: dict[str, float], rng: np.random.Generator) -> Engine:
    named = (
        "idle_rpm",
        "top_rpm",
        "climb_rpm_s",
        "friction_rpm_s",
        "opening_s",
        "hold_s",
        "uneven",
        "idle_skips",
        "bog_s",
    )
    values = {name: draw[name] for name in named}
    share, burst, spread = draw["ceiling_share"], draw["burst_firings"], draw["spread"]
    opens_s = float(rng.uniform(1.0, 2.5))
    if kind == "mild":
        share, burst = min(share + 0.1, 0.93), max(burst * 0.6, 4.5)
    if kind == "limiter":
        share, spread = min(share + 0.1, 0.95), float(rng.uniform(0.008, 0.025))
    if kind == "heats":
        values["hold_s"] += 0.8
    if kind == "eight" and values["hold_s"] < 1.8:
        values["hold_s"] = 1.8
    if fires_per_turn != 1:
        values["idle_skips"] = 0.0
    after_s = 0.02 if rng.random() < 0.1 else float(rng.uniform(0.6, 1.6))  # some clips end with the throttle open
    clears = float(rng.uniform(1.0, 2.5)) if rng.random() < 0.4 else 99.0
    return Engine(
        kind=kind, fires_per_turn=fires_per_turn, opens_s=opens_s, after_s=after_s, ceiling_share=share,
        burst_firings=burst * max(fires_per_turn, 0.6), spread=spread, heats_after_s=float(rng.uniform(0.6, 1.3)),
        clears_after_s=clears, **values,
    )  # fmt: skip


def _unanswerable(kind: str, fires_per_turn: float, draw: dict[str, float], rng: np.random.Generator) -> Engine:
    """The throttle is shut too soon, or the clip begins when it is open already."""
    engine = engine_of(str(rng.choice(["healthy", "breaks"])), fires_per_turn, draw, rng)
    if kind == "short":
        return replace(engine, hold_s=float(rng.uniform(0.1, 0.6)), opening_s=min(engine.opening_s, 0.5))
    return replace(
        engine, starts_at_s=engine.opens_s + engine.opening_s + float(rng.uniform(0.5, 1.0)), hold_s=engine.hold_s + 1
    )


def place_of(draw: dict[str, float], rng: np.random.Generator) -> Place:
    named = (
        *("sharpness", "pulse_s", "pumping", "hiss", "mechanics", "bangs", "echo_level", "tail_s"),
        *("highpass_hz", "agc", "agc_s", "overdrive"),
    )
    low, high = draw["resonance_hz"] * 0.5, draw["resonance_hz"] * 2
    resonances = tuple(float(hz) for hz in np.exp(rng.uniform(np.log(low), np.log(high), int(rng.integers(2, 5)))))
    return Place(
        resonances_hz=resonances, echoes=int(rng.integers(0, 7)), highpass_steps=int(rng.integers(1, 4)),
        lowpass_hz=float(rng.choice([3400, 5500, 8000])), **{name: draw[name] for name in named},
    )  # fmt: skip
