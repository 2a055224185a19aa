"""What comes out of the ports, through a stepped pipe, into a box of a room: at MADE_HZ.

The flow follows from port area and pressure over the crank; the pipe is a chain of tubes that reflect at each step
(Kelly and Lochbaum's lattice, from memory); the room is a box with image sources and a sparse tail.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import signal

from tests.revouts.apart.engine import TURN, Hand
from tests.revouts.sound import MADE_HZ
from tests.revouts.wide.crank import Turned

SOUND_M_S, HOT_M_S = 343.0, 520.0
OPENS, WIDEST, SHUTS = np.radians(95.0), np.radians(180.0), np.radians(265.0)  # of the exhaust port, after top
PIPE_S, IMAGES = 0.08, 5


@dataclass(frozen=True)
class Path:
    """Areas m2 from the port to the tail; box and places m."""

    areas: tuple[float, ...]
    lengths_m: tuple[float, ...]
    blow: float  # how fast the cylinder empties
    breathed: float  # flow of a turn that did not fire, share
    rush: float
    gears: tuple[float, ...]  # teeth
    whine: float
    rattle: float
    rattles_hz: tuple[float, ...]
    box_m: tuple[float, float, float]
    echo: float  # share of pressure that a wall gives back
    drr_db: float
    tail_s: float


def drawn_path(rng: np.random.Generator) -> Path:
    steps = int(rng.integers(3, 7))
    indoors = rng.random() < 0.5
    return Path(
        areas=tuple(np.exp(rng.uniform(np.log(0.0003), np.log(0.006), steps))),
        lengths_m=tuple(rng.uniform(0.05, 0.5, steps)),
        blow=rng.uniform(2.0, 9.0),
        breathed=rng.uniform(0.03, 0.3),
        rush=rng.uniform(0.05, 0.5),
        gears=tuple(float(teeth) for teeth in rng.integers(7, 40, 2)),
        whine=rng.uniform(0.0, 0.08),
        rattle=rng.uniform(0.0, 0.4),
        rattles_hz=tuple(rng.uniform(900, 5500, 3)),
        box_m=(rng.uniform(3, 9), rng.uniform(3, 9), rng.uniform(2.3, 4)),
        echo=rng.uniform(0.6, 0.92) if indoors else rng.uniform(0.1, 0.5),
        drr_db=rng.uniform(-5, 12) if indoors else rng.uniform(8, 25),
        tail_s=rng.uniform(0.2, 1.3) if indoors else rng.uniform(0.05, 0.25),
    )


def engine_sound(hand: Hand, turned: Turned, path: Path, rng: np.random.Generator) -> np.ndarray:
    count = int((hand.ends_s - hand.starts_at_s) * MADE_HZ)
    flow = _flow(hand, turned, path, count, rng)
    rushing = np.abs(flow) * signal.lfilter([1.0, -0.7], [1.0], rng.normal(size=count))
    pressed = signal.oaconvolve(flow + path.rush * rushing, _pipe(path))[:count]
    out = np.diff(pressed, prepend=0.0)
    out /= np.std(out) + 1e-12
    return out + _machinery(hand, turned, path, count, rng)


def _flow(hand: Hand, turned: Turned, path: Path, count: int, rng: np.random.Generator) -> np.ndarray:
    """Blow-down of each charge through the opening port; a turn without firing breathes a little."""
    out = np.zeros(count + MADE_HZ)
    strength = np.array(turned.strength)
    usual = np.median(strength[strength > 0])
    for at_s, rpm, loud, throttle in zip(turned.at_s, turned.rpm, strength, turned.throttle, strict=True):
        speed = rpm * TURN / 60
        first = (at_s - hand.starts_at_s + OPENS / speed) * MADE_HZ
        if not 0 <= first < count:
            continue
        angle = OPENS + (np.arange(int((SHUTS - OPENS) / speed * MADE_HZ)) + 1 - first % 1) / MADE_HZ * speed
        area = np.clip(np.minimum(angle - OPENS, SHUTS - angle) / (WIDEST - OPENS), 0, None)
        pressure = np.exp(-path.blow * 300 / speed * np.cumsum(area) * speed / MADE_HZ)
        level = loud / usual if loud > 0 else path.breathed * (0.2 + throttle) * (1 + 0.2 * rng.normal())
        out[int(first) : int(first) + len(angle)] += level * area * (pressure + 0.05)
    return out[:count]


def _pipe(path: Path) -> np.ndarray:
    """The answer of the stepped pipe to a click at the port."""
    count = int(PIPE_S * MADE_HZ)
    delays = [max(1, round(length / HOT_M_S * MADE_HZ)) for length in path.lengths_m]
    right, left = ([np.zeros(delay) for delay in delays] for _ in range(2))
    steps = [(one - other) / (one + other) for one, other in zip(path.areas, path.areas[1:], strict=False)]
    out = np.zeros(count)
    dull = 0.0
    for place in range(count):
        tails = [line[-1] for line in right]
        heads = [line[-1] for line in left]
        dull = 0.5 * dull + 0.5 * tails[-1]
        going_right = [(1.0 if place == 0 else 0.0) + 0.9 * heads[0]]
        going_left = []
        for index, step in enumerate(steps):
            going_right.append((1 + step) * tails[index] - step * heads[index + 1])
            going_left.append(step * tails[index] + (1 - step) * heads[index + 1])
        going_left.append(-0.85 * dull)
        out[place] = tails[-1] - 0.85 * dull
        for index in range(len(delays)):
            right[index] = np.concatenate([[0.985 * going_right[index]], right[index][:-1]])
            left[index] = np.concatenate([[0.985 * going_left[index]], left[index][:-1]])
    return out


def _machinery(hand: Hand, turned: Turned, path: Path, count: int, rng: np.random.Generator) -> np.ndarray:
    at_s = np.arange(count) / MADE_HZ + hand.starts_at_s
    turns = np.interp(at_s, turned.at_s, np.arange(len(turned.at_s)) / hand.fires_per_turn)
    speed = np.interp(at_s, turned.at_s, turned.rpm)
    speed = speed / speed.max()
    whine = sum(np.sin(TURN * teeth * turns + rng.random()) for teeth in path.gears)
    hit = np.diff(np.floor(turns + rng.random()), prepend=0.0) * (0.3 + np.abs(rng.normal(size=count)))
    rattle = sum(signal.lfilter(*signal.iirpeak(hz, 15, fs=MADE_HZ), hit) for hz in path.rattles_hz)
    return speed * (path.whine * whine + path.rattle * rattle / (np.std(rattle) + 1e-9) * 0.6)


def in_the_box(dry: np.ndarray, path: Path, rng: np.random.Generator) -> np.ndarray:
    return signal.oaconvolve(dry, box_response(path, rng))[: len(dry)]


def box_response(path: Path, rng: np.random.Generator) -> np.ndarray:
    """Image sources, then a sparse tail; the direct sound is the first sample, and is 1."""
    box = np.array(path.box_m)
    engine, phone = (box * rng.uniform(0.15, 0.85, 3) for _ in range(2))
    grid = np.stack(np.meshgrid(*[np.arange(-IMAGES, IMAGES + 1)] * 3, indexing="ij"), axis=-1).reshape(-1, 3)
    images = grid * box + np.where(grid % 2, box - engine, engine)
    away = np.linalg.norm(images - phone, axis=1)
    direct = np.linalg.norm(engine - phone)
    late = ((away - direct) / SOUND_M_S * MADE_HZ).astype(int)
    out = np.zeros(int(max(path.tail_s, 0.12) * MADE_HZ) + 2)
    strength = path.echo ** np.abs(grid).sum(axis=1) * direct / away
    kept = (late > 0) & (late < len(out)) & (np.abs(grid).sum(axis=1) > 0)
    np.add.at(out, late[kept], strength[kept])
    dense = (rng.random(len(out)) < 0.15) * rng.choice([-1, 1], len(out))
    fade = np.exp(-6.9 * np.arange(len(out)) / MADE_HZ / path.tail_s)
    tail = signal.lfilter([0.6], [1.0, -0.4], dense) * fade * np.minimum(np.arange(len(out)) / (0.02 * MADE_HZ), 1)
    out = out / (np.sqrt(np.sum(out**2)) + 1e-12) + tail / (np.sqrt(np.sum(tail**2)) + 1e-12)
    out[0] = 0.0
    out *= 10 ** (-path.drr_db / 20) / np.sqrt(np.sum(out**2))
    out[0] = 1.0
    return out
