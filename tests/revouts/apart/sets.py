"""A set apart: made to report on, and never fitted or chosen on. Its seed is set only after fitting."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from scipy import signal

from tests.revouts.apart.beside import NOISES, beside, electronics, microphone
from tests.revouts.apart.engine import STRONG, TURN, Hand, Ignition, Machine, run, top_rad_s
from tests.revouts.apart.sound import drawn_path, engine_sound, in_the_box
from tests.revouts.codecs import CODECS, encoded
from tests.revouts.engine import TRUTH_STEP_S, Truth
from tests.revouts.sound import MADE_HZ
from tests.revouts.wide.crank import Turned, truth_of
from tests.revouts.wide.sets import Recording

FINE = ("even", "skipping", "laden", "wet", "drowned", "starved", "gasping", "fluttering")
FAILING = ("fading", "mild", "warm", "unit", "sleeping", "loose", "early", "loose and fading")
NO_ANSWER = ("waiting", "touching", "begun", "brief", "nothing")
APART_KINDS = (*FINE, *FAILING, *NO_ANSWER)
CODEC_NAMES = ("aac32", "aac64", "opus24", "mp3-64", "vorbis", "amr", "wav96", "caf", "wav8")
NEVER = 1e9
WELL_HEARD_HZ = (200.0, 5000.0)
PARTS_OF_TOP = {"mild": (0.85, 0.96), "early": (0.25, 0.4)}
LEAST_LOST_S, LEAST_LEFT_S = 0.15, 0.5  # of a failing: in all, and from the first drop-out to the shut
LATE_LOST = 0.05  # share of the last firings that a sound spark may lose
REACHED = 0.85  # of the top speed late in the hold, by an engine that nothing starves or drowns


def apart_clip(index: int, seed: int) -> Recording:
    """Clip number `index`: the kinds take turns."""
    kind = APART_KINDS[index % len(APART_KINDS)]
    rng = np.random.default_rng([seed, index, 4])
    codec, heard_by = CODECS[str(rng.choice(CODEC_NAMES))], microphone(rng)
    noise = str(rng.choice(list(NOISES)))
    if kind == "nothing":
        sound = electronics(heard_by(beside(noise, int(rng.uniform(4, 11) * MADE_HZ), rng)), rng)
        return Recording(kind, codec, encoded(sound, codec), None, None, None, 1.0, noise)
    hand, turned, truth = _revved(kind, rng)
    path = drawn_path(rng)
    engine = heard_by(in_the_box(engine_sound(hand, turned, path, rng), path, rng))
    around = heard_by(beside(noise, len(engine), rng))
    snr_db = float(rng.uniform(-3, 10) if rng.random() < 0.25 else rng.uniform(10, 30))
    band = signal.butter(2, WELL_HEARD_HZ, "band", fs=MADE_HZ, output="sos")
    loud, quiet = signal.sosfilt(band, engine), signal.sosfilt(band, around)
    start, end = (int(edge * MADE_HZ) for edge in (truth.held or (0.0, truth.seconds)))
    level = np.std(loud[start:end]) / np.std(quiet) * 10 ** (-snr_db / 20)
    louder = _power(loud, len(truth.rpm)) >= _power(level * quiet, len(truth.rpm))
    sound = electronics(engine + level * around, rng)
    truth = replace(truth, firing=truth.firing & louder)
    return Recording(kind, codec, encoded(sound, codec), truth, snr_db, path.drr_db, hand.fires_per_turn, noise)


def _power(sound: np.ndarray, count: int) -> np.ndarray:
    """Mean power at each frame of the truth, over 30 ms."""
    smooth = signal.fftconvolve(sound**2, np.ones(480) / 480, mode="same")
    return smooth[np.clip((np.arange(count) * TRUTH_STEP_S * MADE_HZ).astype(int), 0, len(sound) - 1)]


def _revved(kind: str, rng: np.random.Generator) -> tuple[Hand, Turned, Truth]:
    """Drawn again until the clip is what its kind says."""
    verdict = "breaks-down" if kind in FAILING else "revs-out" if kind in FINE else "unclear"
    while True:
        machine = _machine(kind, rng)
        hand = _hand(kind, machine, rng)
        turned = run(machine, hand, _ignition(kind, machine, hand, rng), rng)
        truth = truth_of(hand, turned, verdict)
        lost_s = sum(end - start for start, end in truth.drop_outs)
        if kind in FAILING and (lost_s < LEAST_LOST_S or truth.held[1] - truth.drop_outs[0][0] < LEAST_LEFT_S):
            continue
        if kind in FINE and (truth.drop_outs or not _gets_there(kind, machine, truth) or _fails_late(turned, truth)):
            continue
        return hand, turned, truth


def _gets_there(kind: str, machine: Machine, truth: Truth) -> bool:
    late = truth.rpm[int((truth.held[1] - 0.4) / TRUTH_STEP_S) : int(truth.held[1] / TRUTH_STEP_S)]
    least = 0.35 if kind in ("wet", "drowned") else REACHED
    return float(np.median(late)) > least * top_rad_s(machine) * 60 / TURN


def _fails_late(turned: Turned, truth: Truth) -> bool:
    """Whether the spark still fails when there is no load any more."""
    late = (truth.at_s > truth.held[1] - 0.7) & (truth.at_s < truth.held[1])
    return float(np.mean(np.array(turned.lost)[late])) > LATE_LOST


def _machine(kind: str, rng: np.random.Generator) -> Machine:
    fires_per_turn = float(rng.choice([1, 1, 1, 1, 1, 1, 2, 0.5]))
    if kind in ("wet", "drowned"):
        fires_per_turn = 1.0
    inertia, breathes = rng.uniform(0.0006, 0.003), rng.uniform(520, 1050)
    push = inertia * np.exp(rng.uniform(np.log(900), np.log(3200))) / fires_per_turn
    lights_from = rng.uniform(0.4, 0.5)
    sound_scavenging = lights_from + rng.uniform(0.25, 0.4)
    scavenged = {"wet": lights_from - rng.uniform(-0.02, 0.08), "drowned": lights_from - rng.uniform(0.08, 0.16)}
    return Machine(
        fires_per_turn=fires_per_turn,
        inertia=inertia,
        push_nm=push,
        breathes_rad_s=breathes,
        steepness=rng.uniform(3, 9),
        tuned_rad_s=breathes * rng.uniform(0.6, 0.95),
        tuned=rng.uniform(0.0, 0.6),
        rubs_nm=push * fires_per_turn * rng.uniform(0.08, 0.25),
        rubs_faster_nm=push * fires_per_turn * rng.uniform(0.1, 0.4),
        squeeze_nm=push * rng.uniform(0.2, 1.0),
        idle_rad_s=rng.uniform(95, 220),
        scavenged=scavenged.get(kind, sound_scavenging),
        scavenged_shut=lights_from + rng.uniform(-0.05, 0.3),
        roams={"wet": 0.08, "drowned": 0.01}.get(kind, rng.uniform(0.0, 0.03)),
        lights_from=lights_from,
        lights_width=rng.uniform(0.015, 0.04),
        rough=rng.uniform(0.03, 0.15),
        starved=rng.uniform(0.1, 0.25) if kind == "starved" or rng.random() < 0.15 else 0.0,
        bogs_s=rng.uniform(0.1, 0.6) if kind == "gasping" else 0.0,
        flutter=rng.uniform(0.2, 0.5) if kind == "fluttering" else 0.0,
    )


def _hand(kind: str, machine: Machine, rng: np.random.Generator) -> Hand:
    opens_s = rng.uniform(1.0, 6.0)
    opening_s = rng.uniform(0.1, 1.2)
    shuts_s = opens_s + opening_s + (rng.uniform(3.0, 5.0) if kind == "warm" else rng.uniform(1.6, 3.8))
    hand = Hand(
        fires_per_turn=machine.fires_per_turn,
        idle_rpm=machine.idle_rad_s * 60 / TURN,
        opens_s=opens_s,
        opening_s=opening_s,
        shuts_s=shuts_s,
        shutting_s=rng.uniform(0.06, 0.3),
        ends_s=shuts_s + rng.uniform(0.5, 3.5),
        starts_at_s=0.0,
        touches=((0.6, 0.6 + rng.uniform(0.1, 0.3)),) if opens_s > 2.5 and rng.random() < 0.2 else (),
    )
    if kind == "begun":
        return replace(hand, starts_at_s=opens_s + opening_s + rng.uniform(0.5, 0.9), touches=())
    if kind == "brief":
        shuts_s = opens_s + 0.3 + rng.uniform(0.05, 0.4)
        return replace(hand, opening_s=0.3, shuts_s=shuts_s, ends_s=shuts_s + rng.uniform(1, 3))
    if kind in ("waiting", "touching"):
        count = int(rng.integers(1, 4)) if kind == "touching" else 0
        starts_s = 1.0 + np.arange(count) * rng.uniform(2.0, 3.0)
        touches = tuple((float(start), float(start + rng.uniform(0.1, 0.6))) for start in starts_s)
        return replace(hand, opens_s=NEVER, shuts_s=NEVER, ends_s=rng.uniform(5, 12), touches=touches)
    return hand


def _ignition(kind: str, machine: Machine, hand: Hand, rng: np.random.Generator) -> Ignition:
    top = top_rad_s(machine)
    line = top * rng.uniform(*PARTS_OF_TOP.get(kind, (0.45, 0.85)))
    sound = Ignition(
        volts=STRONG, weaker_rad_s=top * 20, fade=2.0, warm_from_s=NEVER, warm_loses=0.0, warm_in_s=1.0,
        jitter=rng.uniform(0.01, 0.06), fouled=rng.uniform(0.0, 0.5), dense_needs=0.0, off_rad_s=NEVER,
        off_s=(0.0, 0.0), on_rad_s=NEVER, loose_a_second=0.0, loose_s=(0.0, 0.1), skips_a_second=0.0,
    )  # fmt: skip
    volts, fade = rng.uniform(1.5, 3.0), rng.uniform(2, 7)
    fading = replace(
        sound, volts=volts, fade=fade, weaker_rad_s=line / (volts - 1) ** (1 / fade),
        jitter=rng.uniform(0.02, 0.2), fouled=rng.uniform(0.3, 0.9),
    )  # fmt: skip
    loose = {"loose_a_second": rng.uniform(0.8, 3.0), "loose_s": (0.05, rng.uniform(0.1, 0.3))}
    if kind in ("fading", "mild", "early"):
        return fading
    if kind == "warm":
        held_s = hand.shuts_s - hand.opens_s
        cold = replace(fading, weaker_rad_s=1.25 * top / (volts - 1) ** (1 / fade))
        loses = 1 - (1 + (line / cold.weaker_rad_s) ** fade) / volts
        return replace(
            cold, warm_from_s=held_s * rng.uniform(0.25, 0.6), warm_loses=loses, warm_in_s=rng.uniform(0.1, 1)
        )
    if kind == "unit":
        return replace(sound, off_rad_s=line, on_rad_s=line * rng.uniform(0.9, 0.99))
    if kind == "sleeping":
        return replace(sound, off_rad_s=line, off_s=(0.08, rng.uniform(0.2, 0.5)))
    if kind == "loose and fading":
        return replace(fading, **loose)
    odd = {
        "loose": loose,
        "skipping": {"skips_a_second": rng.uniform(0.4, 3.0)},
        "laden": {"volts": 1.25, "dense_needs": rng.uniform(0.1, 0.4), "fouled": 0.0, "jitter": 0.1},
    }
    return replace(sound, **odd.get(kind, {}))
