"""The wide set: engines, failings, rooms, noises and phones over all that the reported set leaves out.

Every kind says which verdict is true of it. A failing that hardly shows is drawn again.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from scipy import signal

from tests.revouts import noises
from tests.revouts.codecs import CODECS, Codec, encoded
from tests.revouts.engine import TRUTH_STEP_S, Truth
from tests.revouts.sound import MADE_HZ
from tests.revouts.wide import sparks
from tests.revouts.wide.crank import Crank, Rule, Turned, truth_of, turn_over
from tests.revouts.wide.exhaust import drawn_exhaust, engine_sound
from tests.revouts.wide.phones import Phone, drawn_phone, recorded, through_the_microphone
from tests.revouts.wide.rooms import drawn_room, in_the_room

FINE: dict[str, Callable[[Crank, np.random.Generator], Rule]] = {
    "healthy": sparks.always,
    "lone": sparks.lone,
    "load": sparks.under_load,
    "rich": sparks.rich,
    "steady": sparks.steadily_rich,
    "sag": sparks.always,
    "bog": sparks.bogging,
    "reed": sparks.fluttering,
}
FAILING: dict[str, Callable[[Crank, np.random.Generator, float], Rule]] = {
    "cut": sparks.cut,
    "scatter": sparks.scattered,
    "mild": sparks.scattered,
    "random": sparks.at_random,
    "earth": sparks.earthing,
    "warm": sparks.warm,
    "low": sparks.scattered,
    "half": sparks.lasting_cut,
}
NO_ANSWER = ("tickover", "blip", "late", "short", "none")
WIDE_KINDS = (*FINE, *FAILING, *NO_ANSWER)
WIDE_CODECS = (
    *("wav", "wav8", "aac64", "aac96s", "aac32", "opus24"),
    *("opus48", "mp3-64", "mp3-128", "vorbis", "flac", "amr"),
)
WIDE_SEED = 61
LEAST_DROP_OUTS, LEAST_LOST_S, LEAST_LEFT_S = 2, 0.1, 0.5  # of a failing: in all, and from the first to the shut
HEARD_HZ = (150.0, 6000.0)
LATE_SHARE = 0.9  # of the top speed, at the end of a sound engine's hold, steady four-stroking apart
NOWHERE_S = 1e6


@dataclass(frozen=True)
class Recording:
    """One generated clip as a file, and what is known of it. drr_db is None where there is no engine."""

    kind: str
    codec: Codec
    file: bytes
    truth: Truth | None
    snr_db: float | None
    drr_db: float | None
    fires_per_turn: float
    noise: str


def wide_clip(index: int, seed: int = WIDE_SEED) -> Recording:
    """Clip number `index`: the kinds take turns."""
    kind = WIDE_KINDS[index % len(WIDE_KINDS)]
    rng = np.random.default_rng([seed, index])
    codec = CODECS[str(rng.choice(WIDE_CODECS))]
    noise, phone = str(rng.choice(noises.WIDE_KINDS)), drawn_phone(rng)
    if kind == "none":
        noise = str(rng.choice((*noises.WITHOUT_ENGINE, *noises.WIDE_KINDS)))
        heard = recorded(through_the_microphone(noises.noise(noise, rng.uniform(4, 11), rng), phone), phone)
        quiet = 1e-3 if noise == "silence" else 1.0
        return Recording(kind, codec, encoded(heard * quiet, codec), None, None, None, 1.0, noise)
    crank, turned, truth = revved(kind, rng)
    room = drawn_room(rng)
    dry = engine_sound(crank, turned, drawn_exhaust(rng), rng)
    snr_db = drawn_snr_db(rng)
    heard, truth = with_noise(in_the_room(dry, room, rng), noise, truth, snr_db, phone, rng)
    file = encoded(recorded(heard, phone), codec)
    return Recording(kind, codec, file, truth, snr_db, room.drr_db, crank.fires_per_turn, noise)


def drawn_snr_db(rng: np.random.Generator) -> float:
    """Three quarters at 10 dB and better, as somebody holds the phone who wants the engine to be heard."""
    middle = rng.choice([-2, 2.5, 7.5, 12.5, 17.5, 22.5, 27.5], p=[0.04, 0.08, 0.13, 0.2, 0.2, 0.2, 0.15])
    return float(middle) + float(rng.uniform(-2.5, 2.5))


def revved(kind: str, rng: np.random.Generator) -> tuple[Crank, Turned, Truth]:
    """An engine of that kind, drawn again until what the kind says of it is so."""
    while True:
        crank = drawn_crank(kind, rng)
        verdict = "breaks-down" if kind in FAILING else "revs-out" if kind in FINE else "unclear"
        turned = turn_over(crank, drawn_rule(kind, crank, rng), rng)
        truth = truth_of(crank, turned, verdict)
        if kind in FAILING and not _shows(truth):
            continue
        if kind in FINE and (truth.drop_outs or not _gets_there(kind, crank, truth)):
            continue
        return crank, turned, truth


def _shows(truth: Truth) -> bool:
    """Whether the failing can be heard at all: it may begin too late, or hardly ever lose three firings."""
    gaps = truth.drop_outs
    if len(gaps) < LEAST_DROP_OUTS or truth.held[1] - gaps[0][0] < LEAST_LEFT_S:
        return False
    return sum(end - start for start, end in gaps) >= LEAST_LOST_S


def _gets_there(kind: str, crank: Crank, truth: Truth) -> bool:
    if kind in ("rich", "steady"):
        return True
    end = int(truth.held[1] / TRUTH_STEP_S)
    return float(np.median(truth.rpm[end - 40 : end - 2])) >= LATE_SHARE * crank.top_rpm * (1 - crank.sag)


def drawn_rule(kind: str, crank: Crank, rng: np.random.Generator) -> Rule:
    if kind in FINE:
        return FINE[kind](crank, rng)
    if kind not in FAILING:
        return sparks.always(crank, rng) if rng.random() < 0.6 else sparks.scattered(crank, rng, 0.65 * crank.top_rpm)
    line_rpm = crank.top_rpm * rng.uniform(0.45, 0.85)
    if kind == "mild":
        line_rpm = crank.top_rpm * rng.uniform(0.85, 0.97)
    if kind == "low":
        line_rpm = min(crank.idle_rpm * rng.uniform(2, 3), 0.6 * crank.top_rpm)
    return FAILING[kind](crank, rng, line_rpm)


def drawn_crank(kind: str, rng: np.random.Generator) -> Crank:
    fires_per_turn = float(rng.choice([1, 2, 0.5], p=[0.8, 0.1, 0.1]))
    if kind in ("rich", "steady", "reed"):
        fires_per_turn = 1.0
    top_rpm = rng.uniform(5500, 11500) * (0.85 if fires_per_turn == 0.5 else 1.0)
    opens_s = rng.uniform(0.9, 3) if rng.random() < 0.7 else rng.uniform(3, 8)
    opening_s = float(np.exp(rng.uniform(np.log(0.06), np.log(1.1))))
    hold_s = rng.uniform(1.8, 3.4) if rng.random() < 0.7 else rng.uniform(1.5, 5.0)
    if kind == "warm":
        hold_s = rng.uniform(2.6, 5.0)
    shuts_s = opens_s + opening_s + hold_s
    crank = Crank(
        fires_per_turn=fires_per_turn,
        idle_rpm=rng.uniform(900, 2200),
        top_rpm=top_rpm,
        climb_rpm_s=float(np.exp(rng.uniform(np.log(4500), np.log(22000)))),
        hump=rng.uniform(0.0, 0.8),
        knee=rng.uniform(0.06, 0.3),
        drag_rpm_s=rng.uniform(3000, 12000),
        drag_still=rng.uniform(0.15, 0.5),
        uneven=rng.uniform(0.03, 0.2),
        idle_skips=rng.uniform(0.0, 0.35) if fires_per_turn == 1 else 0.0,
        overrun_pops=rng.uniform(0.02, 0.5),
        wander=rng.uniform(0.001, 0.012),
        sag=rng.uniform(0.03, 0.1) if kind == "sag" or (kind in FAILING and rng.random() < 0.3) else 0.0,
        opens_s=opens_s,
        opening_s=opening_s,
        shuts_s=shuts_s,
        shutting_s=rng.uniform(0.05, 0.25),
        ends_s=shuts_s + (0.02 if rng.random() < 0.06 else rng.uniform(0.7, 3.5)),
        lag_s=rng.uniform(0.015, 0.06),
        bog_s=rng.uniform(0.15, 0.9) if kind == "bog" else 0.0,
        bog_pull=rng.uniform(0.25, 0.6),
    )
    if opens_s > 2.4 and rng.random() < 0.3:
        start = rng.uniform(0.5, opens_s - 1.7)
        crank = replace(crank, blips=((start, start + rng.uniform(0.1, 0.35)),))
    return _without_answer(kind, crank, rng)


def _without_answer(kind: str, crank: Crank, rng: np.random.Generator) -> Crank:
    """Tickover alone, blips alone, the throttle open from the start, or shut too soon."""
    if kind == "late":
        return replace(crank, starts_at_s=crank.opens_s + crank.opening_s + rng.uniform(0.4, 1.0), blips=())
    if kind == "short":
        opening_s = min(crank.opening_s, 0.5)
        shuts_s = crank.opens_s + opening_s + rng.uniform(0.1, 0.5)
        return replace(crank, opening_s=opening_s, shuts_s=shuts_s, ends_s=shuts_s + rng.uniform(0.8, 2.5))
    if kind not in ("tickover", "blip"):
        return crank
    ends_s = rng.uniform(5, 13)
    starts_s = np.arange(rng.uniform(0.8, 2.0), ends_s - 1.0, rng.uniform(1.8, 3.2)) if kind == "blip" else ()
    blips = tuple((float(start), float(start + rng.uniform(0.15, 0.7))) for start in starts_s)
    return replace(crank, opens_s=NOWHERE_S, shuts_s=NOWHERE_S, ends_s=ends_s, blips=blips)


def with_noise(
    engine: np.ndarray, kind: str, truth: Truth, snr_db: float, phone: Phone, rng: np.random.Generator
) -> tuple[np.ndarray, Truth]:
    """Engine and noise as the microphone hears them, and the truth without the frames in which the noise is louder.

    snr_db: engine over noise in the hold, where the phone hears well.
    """
    engine = through_the_microphone(engine, phone)
    noise = through_the_microphone(noises.noise(kind, len(engine) / MADE_HZ + 1, rng)[: len(engine)], phone)
    band = signal.butter(2, HEARD_HZ, "band", fs=MADE_HZ, output="sos")
    heard, beside = signal.sosfilt(band, engine), signal.sosfilt(band, noise)
    start, end = (int(edge * MADE_HZ) for edge in (truth.held or (0.0, truth.seconds)))
    level = np.std(heard[start:end]) / (np.std(beside) + 1e-12) * 10 ** (-snr_db / 20)
    louder = _frames(heard**2, len(truth.rpm)) >= _frames((level * beside) ** 2, len(truth.rpm))
    return engine + level * noise, replace(truth, firing=truth.firing & louder)


def _frames(power: np.ndarray, count: int) -> np.ndarray:
    """Mean power around each frame of the truth, over three of them."""
    total = np.concatenate([[0.0], np.cumsum(power)])
    middles = np.arange(count) * TRUTH_STEP_S
    edges = [np.clip(((middles + by) * MADE_HZ).astype(int), 0, len(power)) for by in (-0.015, 0.015)]
    return (total[edges[1]] - total[edges[0]]) / np.maximum(edges[1] - edges[0], 1)
