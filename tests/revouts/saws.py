"""Rev-outs made of single firings of real saws, where recordings lie beside the project. None of them is kept here.

A firing is cut out where the saw runs evenly and nothing as loud follows before the next one: a grain holds one firing.
A crank model says when firings come, and each plays a grain of one saw.
"""

from __future__ import annotations

from functools import cache
from itertools import pairwise
from pathlib import Path

import av
import numpy as np
from scipy import signal

from tests.revouts import noises
from tests.revouts.codecs import CODECS, encoded
from tests.revouts.foreign import BESIDE
from tests.revouts.sound import MADE_HZ
from tests.revouts.wide.crank import Crank, Turned
from tests.revouts.wide.exhaust import drawn_exhaust, loudness
from tests.revouts.wide.phones import drawn_phone, recorded
from tests.revouts.wide.rooms import drawn_room, in_the_room
from tests.revouts.wide.sets import (
    WIDE_CODECS,
    WIDE_KINDS,
    Recording,
    drawn_snr_db,
    revved,
    with_noise,
)

SAWS = (
    *("1-116765-A.ogg", "1-47250-A.ogg", "1-47250-B.ogg"),
    *("5-170338-A.ogg", "5-170338-B.ogg", "5-222524-A.ogg"),
)
WINDOW_S = 0.3
FIRINGS_HZ = (30.0, 200.0)
EVEN = 0.4  # least correlation of the envelope with itself a period later
BEFORE, UNTIL = 0.12, 0.85  # of a period: where a grain begins before its peak, and ends after it
ALONE_FROM, ALONE = 0.4, 0.5  # from there on, nothing in a grain is louder than this share of its peak
ALIKE = (0.4, 0.95)  # share of a firing that is as in the one before
GRAINS_AT_LEAST, GRAINS_AT_MOST = 5, 40


@cache
def voices() -> tuple[tuple[np.ndarray, ...], ...]:
    """The grains of each saw that has enough of them, at MADE_HZ, each of energy 1; none without recordings."""
    found = (grains_of(_decoded(BESIDE / name)) for name in SAWS if (BESIDE / name).exists())
    return tuple(tuple(grains) for grains in found if len(grains) >= GRAINS_AT_LEAST)


def _decoded(path: Path) -> np.ndarray:
    resampler = av.AudioResampler(format="flt", layout="mono", rate=MADE_HZ)
    with av.open(str(path)) as container:
        return np.concatenate(
            [part.to_ndarray()[0] for frame in container.decode(audio=0) for part in resampler.resample(frame)]
        )


def grains_of(sound: np.ndarray) -> list[np.ndarray]:
    """Single firings, the ones that stand out best first."""
    heard = signal.sosfilt(signal.butter(2, [100, 5000], "band", fs=MADE_HZ, output="sos"), sound)
    envelope = signal.sosfiltfilt(signal.butter(2, 300, fs=MADE_HZ, output="sos"), heard**2)
    window = int(WINDOW_S * MADE_HZ)
    found: list[tuple[float, np.ndarray]] = []
    for start in range(0, len(sound) - window, window // 2):
        period = _period(envelope[start : start + window])
        if period:
            found += _in_window(heard, envelope, start, start + window, period)
    found.sort(key=lambda pair: pair[0])
    return [grain for _, grain in found[:GRAINS_AT_MOST]]


def _period(envelope: np.ndarray) -> int:
    """Samples from firing to firing, 0 where the saw does not run evenly."""
    part = envelope - envelope.mean()
    alike = signal.correlate(part, part)[len(part) - 1 :] / (np.sum(part**2) + 1e-12)
    low, high = int(MADE_HZ / FIRINGS_HZ[1]), int(MADE_HZ / FIRINGS_HZ[0])
    best = low + int(np.argmax(alike[low:high]))
    return best if alike[best] >= EVEN else 0


def _in_window(
    heard: np.ndarray, envelope: np.ndarray, start: int, end: int, period: int
) -> list[tuple[float, np.ndarray]]:
    out = []
    peaks = start + signal.find_peaks(envelope[start:end], distance=int(0.6 * period))[0]
    for peak, following in pairwise(peaks):
        if not 0.85 * period < following - peak < 1.2 * period or peak < period:
            continue
        first, last = peak - int(BEFORE * period), peak + int(UNTIL * period)
        beside = float(envelope[peak + int(ALONE_FROM * period) : last].max() / envelope[peak])
        if beside < ALONE:
            out.append((beside, _faded(heard[first:last])))
    return out


def _faded(grain: np.ndarray) -> np.ndarray:
    edge_in, edge_out = int(0.1 * len(grain)), int(0.3 * len(grain))
    fade = np.ones(len(grain))
    fade[:edge_in] = np.linspace(0, 1, edge_in)
    fade[-edge_out:] = 0.5 + 0.5 * np.cos(np.linspace(0, np.pi, edge_out))
    grain = grain * fade
    return grain / np.sqrt(np.sum(grain**2))


def saw_sound(crank: Crank, turned: Turned, voice: tuple[np.ndarray, ...], rng: np.random.Generator) -> np.ndarray:
    """Each firing a grain of the saw, higher or lower as a whole; what pumps without firing is a dull grain.

    One firing is like the next: a part of each, drawn for the clip, is the same grain.
    """
    count = int((crank.ends_s - crank.starts_at_s) * MADE_HZ)
    level = loudness(turned, drawn_exhaust(rng), rng)
    fired, at = np.array(turned.fired), (np.array(turned.at_s) - crank.starts_at_s) * MADE_HZ
    rate, alike, out = rng.uniform(0.8, 1.25), rng.uniform(*ALIKE), np.zeros(count + MADE_HZ)
    chosen = [voice[int(index)] for index in rng.choice(len(voice), min(12, len(voice)), replace=False)]
    lit = [signal.resample(_mixed(grain, chosen[0], alike), int(len(grain) * rate)) for grain in chosen]
    dull = [signal.sosfilt(signal.butter(2, 400, fs=MADE_HZ, output="sos"), grain) for grain in lit]
    played = rng.integers(len(lit), size=len(at))
    for index in np.flatnonzero((at >= 0) & (at < count)):
        grain = (lit if fired[index] else dull)[played[index]]
        first = int(at[index])
        out[first : first + len(grain)] += level[index] * grain
    return out[:count] / np.std(out[:count])


def _mixed(grain: np.ndarray, usual: np.ndarray, alike: float) -> np.ndarray:
    """The usual grain comes where it always comes, so that this part is as even as the crank; of energy 1."""
    out = (1 - alike) * grain
    both = min(len(grain), len(usual))
    out[:both] += alike * usual[:both]
    return out / np.sqrt(np.sum(out**2))


def saw_clip(index: int, seed: int) -> Recording:
    """Clip number `index` but for those without an engine, which are as in the wide set. Needs voices()."""
    rng = np.random.default_rng([seed, index, 1])
    kinds = [kind for kind in WIDE_KINDS if kind != "none"]
    kind = kinds[index % len(kinds)]
    crank, turned, truth = revved(kind, rng)
    voice = voices()[int(rng.integers(len(voices())))]
    room, phone, noise = drawn_room(rng), drawn_phone(rng), str(rng.choice(noises.WIDE_KINDS))
    snr_db = drawn_snr_db(rng)
    wet = in_the_room(saw_sound(crank, turned, voice, rng), room, rng)
    heard, truth = with_noise(wet, noise, truth, snr_db, phone, rng)
    codec = CODECS[str(rng.choice(WIDE_CODECS))]
    file = encoded(recorded(heard, phone), codec)
    return Recording(kind, codec, file, truth, snr_db, room.drr_db, crank.fires_per_turn, noise)
