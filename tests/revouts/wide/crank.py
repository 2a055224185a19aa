"""A crank turned by energy: a firing adds to the square of the speed over a part of a turn, drag takes it all the time.

Unlike engine.py it knows why a firing is missing: the spark, the mixture, or a shut throttle. Only the spark leaves
drop-outs. Torques are over inertia, in rpm/s. The numbers are common practice for small engines, no source.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Protocol

import numpy as np

from tests.revouts.engine import TRUTH_STEP_S, Truth, Turns, missed_runs

POWER_TURNS = 0.25  # the part of a turn over which a firing pushes
SLOWEST = 0.5  # of tickover; slower, and it would stall
SHUT = 0.3  # throttle below which the carburettor idles
OVERRUN = 1.35  # of tickover; above it a shut throttle hardly fires
FIRES_ON_PERIODS = 4.5  # a frame fires where the gap to the next firing is shorter: eight-stroking still fires


@dataclass(frozen=True)
class Crank:
    """Speeds rpm, torques over inertia rpm/s, times s, shares of 1."""

    fires_per_turn: float
    idle_rpm: float
    top_rpm: float
    climb_rpm_s: float
    hump: float  # what the pipe adds near three quarters of the top speed
    knee: float  # width of the fall of torque to the top speed
    drag_rpm_s: float  # at the top speed
    drag_still: float  # its share at standstill
    uneven: float
    idle_skips: float
    overrun_pops: float  # share of firings on the overrun
    wander: float  # of the top speed in the hold: mixture, air, the hand
    sag: float  # of the top speed, lost over the hold
    opens_s: float
    opening_s: float
    shuts_s: float
    shutting_s: float
    ends_s: float
    lag_s: float = 0.03  # from the slide to the charge
    blips: tuple[tuple[float, float], ...] = ()
    bog_s: float = 0.0
    bog_pull: float = 0.3
    starts_at_s: float = 0.0


@dataclass(frozen=True)
class Moment:
    at_s: float
    held_s: float  # since half open
    rpm: float
    throttle: float
    rising_rpm_s: float
    period_s: float


@dataclass(frozen=True)
class Charge:
    """What one possible firing does. push: energy, 1 as usual; loud: of its sound; lost: the spark failed."""

    push: float
    loud: float
    lost: bool = False


FIRED, SPARK_LOST, NOT_LIT = Charge(1.0, 1.0), Charge(0.0, 0.0, lost=True), Charge(0.0, 0.0)
Rule = Callable[[Moment, np.random.Generator], Charge]


@dataclass
class Turned(Turns):
    """Turns that also say which firings the spark lost."""

    lost: list[bool] = field(default_factory=list)


def slide(crank: Crank, at_s: float) -> float:
    """How far the hand has opened the throttle, 0 to 1."""
    for start, end in crank.blips:
        if start <= at_s < end:
            return 0.85
    opening = (at_s - crank.opens_s) / crank.opening_s
    shutting = (at_s - crank.shuts_s) / crank.shutting_s
    return min(max(opening, 0.0), 1.0) * (1 - min(max(shutting, 0.0), 1.0))


def drag(crank: Crank, rpm: float) -> float:
    return crank.drag_rpm_s * (crank.drag_still + (1 - crank.drag_still) * (rpm / crank.top_rpm) ** 1.7)


def pull(crank: Crank, rpm: float, top_rpm: float, throttle: float, held_s: float) -> float:
    """Torque of a usual firing over inertia, rpm/s: it balances drag at the top speed and, shut, at tickover."""
    share = rpm / top_rpm
    pipe = crank.hump * math.sin(math.pi * (share - 0.45) / 0.6) ** 2 if 0.45 < share < 1.05 else 0.0
    spare = crank.climb_rpm_s * (0.45 + 0.6 * share + pipe) * min(max((1 - share) / crank.knee, -1.0), 1.0)
    wide = max(drag(crank, rpm) + spare, 0.0)
    if 0 <= held_s < crank.bog_s:
        wide *= crank.bog_pull
    shut = drag(crank, crank.idle_rpm) * min((crank.idle_rpm / rpm) ** 2, 2.0)
    return throttle * wide + (1 - throttle) * shut


def turn_over(crank: Crank, rule: Rule, rng: np.random.Generator) -> Turned:
    """Turns the engine over until the clip ends; rule says what each firing does with the throttle open."""
    turned = Turned()
    step = 1 / crank.fires_per_turn
    power = min(POWER_TURNS, step / 2)
    half_s = crank.opens_s + crank.opening_s / 2
    now_s, rpm, throttle, rising, roaming = 0.0, crank.idle_rpm, slide(crank, 0.0), 0.0, 0.0
    while now_s < crank.ends_s:
        period_s = 60 * step / rpm
        throttle += (slide(crank, now_s) - throttle) * min(1.0, period_s / crank.lag_s)
        roaming += (rng.normal() * crank.wander - roaming) * min(1.0, period_s / 0.3)
        moment = Moment(now_s, now_s - half_s, rpm, throttle, rising, period_s)
        top = crank.top_rpm * (1 + 2 * roaming - crank.sag * _into_hold(crank, now_s))
        charge = _shut(crank, moment, rng) if throttle < SHUT else rule(moment, rng)
        loud = charge.loud * max(0.2, 1 + crank.uneven * rng.normal())
        push = charge.push * max(0.2, 1 + crank.uneven * rng.normal())
        _note(turned, moment, charge, loud)
        torque = push * pull(crank, rpm, top, throttle, moment.held_s)
        braked = drag(crank, rpm)
        slowest = SLOWEST * crank.idle_rpm
        driven = math.sqrt(max(rpm**2 + 120 * (torque * step - braked * power), slowest**2))
        after = math.sqrt(max(driven**2 - 120 * braked * (step - power), slowest**2))
        took_s = 120 * (power / (rpm + driven) + (step - power) / (driven + after))
        rising += ((after - rpm) / took_s - rising) * min(1.0, took_s / 0.05)
        now_s, rpm = now_s + took_s, after
    return turned


def _into_hold(crank: Crank, at_s: float) -> float:
    return min(max((at_s - crank.opens_s) / max(crank.shuts_s - crank.opens_s, 0.1), 0.0), 1.0)


def _shut(crank: Crank, now: Moment, rng: np.random.Generator) -> Charge:
    """Tickover, and pops on the overrun: most of them weak, some a bang."""
    if now.rpm > OVERRUN * crank.idle_rpm:
        if rng.random() > crank.overrun_pops:
            return NOT_LIT
        return Charge(float(rng.uniform(0.1, 0.6)), float(rng.uniform(0.3, 1.2) if rng.random() < 0.8 else 3.0))
    if crank.fires_per_turn == 1 and rng.random() < crank.idle_skips:
        return NOT_LIT
    return Charge(1 / (1 - crank.idle_skips) if crank.fires_per_turn == 1 else 1.0, 1.0)


def _note(turned: Turned, now: Moment, charge: Charge, loud: float) -> None:
    turned.at_s.append(now.at_s)
    turned.rpm.append(now.rpm)
    turned.fired.append(charge.push > 0)
    turned.strength.append(loud)
    turned.throttle.append(now.throttle)
    turned.lost.append(charge.lost)


class Opened(Protocol):
    """What the truth needs to know of an engine and the hand on its throttle."""

    fires_per_turn: float
    idle_rpm: float
    opens_s: float
    opening_s: float
    shuts_s: float
    ends_s: float
    starts_at_s: float


def truth_of(crank: Opened, turned: Turned, verdict: str) -> Truth:
    """What is true of the clip from `starts_at_s` on. verdict: the kind's, if the hold is shown and long enough."""
    begins_s = crank.starts_at_s
    held = (crank.opens_s + crank.opening_s / 2, min(crank.shuts_s, crank.ends_s))
    by_spark = Turns(turned.at_s, turned.rpm, [not lost for lost in turned.lost])
    gaps = missed_runs(by_spark, held, patterned=False)
    at_s, fired = np.array(turned.at_s), np.array(turned.fired)
    grid_s = np.arange(begins_s, crank.ends_s, TRUTH_STEP_S)
    rpm = _turning_rpm(at_s, grid_s, crank.fires_per_turn)
    within = (grid_s >= (gaps[0][0] if gaps else held[0])) & (grid_s <= held[1])
    shown = begins_s <= crank.opens_s - 0.2 and held[1] > held[0]
    ceiling = float(np.percentile(rpm[within], 85)) if verdict == "breaks-down" and within.any() else None
    if not shown or held[1] - held[0] < 1.0:
        verdict = "unclear"
    return Truth(
        seconds=crank.ends_s - begins_s,
        rpm=rpm,
        firing=_fires_at(at_s[fired], grid_s, rpm, crank.fires_per_turn),
        held=(held[0] - begins_s, held[1] - begins_s) if shown else None,
        drop_outs=[(start - begins_s, end - begins_s) for start, end in gaps],
        verdict=verdict,
        ceiling_rpm=ceiling,
        idle_rpm=float(np.median(rpm[grid_s < crank.opens_s])) if (grid_s < crank.opens_s).any() else crank.idle_rpm,
        fires_per_turn=crank.fires_per_turn,
        at_s=at_s - begins_s,
        fired=fired,
        even=False,
    )


def _turning_rpm(at_s: np.ndarray, grid_s: np.ndarray, fires_per_turn: float) -> np.ndarray:
    """The speed by the turns made: from one possible firing to the next."""
    return np.interp(grid_s, (at_s[1:] + at_s[:-1]) / 2, 60 / np.diff(at_s) / fires_per_turn)


def _fires_at(fired_s: np.ndarray, grid_s: np.ndarray, rpm: np.ndarray, fires_per_turn: float) -> np.ndarray:
    if len(fired_s) < 2:
        return np.zeros(len(grid_s), bool)
    before = np.searchsorted(fired_s, grid_s) - 1
    inside = (before >= 0) & (before < len(fired_s) - 1)
    gap_s = np.diff(fired_s)[np.clip(before, 0, len(fired_s) - 2)]
    return inside & (gap_s * rpm * fires_per_turn / 60 <= FIRES_ON_PERIODS)
