"""A small engine on the stand as a physical model: inertia, torque per firing, friction, throttle, rules for failing.

Time advances from one possible firing to the next. Accelerations are in rpm/s: torque over inertia.
All numbers are common practice for small singles without load, no source.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

TRUTH_STEP_S = 0.01
EVEN_SHARE = 0.8
LEAST_MISSED, LEAST_GAP_S, JOIN_S = 3, 0.025, 0.030  # what a drop-out is: the manual of `listen`


@dataclass(frozen=True)
class Engine:
    """kind: healthy, rich, eight, breaks, mild, heats, limiter, bog. Speeds rpm, accelerations rpm/s, times s."""

    kind: str
    fires_per_turn: float
    idle_rpm: float
    top_rpm: float
    climb_rpm_s: float
    friction_rpm_s: float
    opens_s: float
    opening_s: float
    hold_s: float
    after_s: float
    ceiling_share: float = 0.7  # of top_rpm: where ignition begins to fail, or the limiter cuts
    burst_firings: float = 8.0  # mean length of a failing burst
    spread: float = 0.03  # of the ceiling, share of speed
    heats_after_s: float = 0.8
    uneven: float = 0.1  # spread of strength from firing to firing
    idle_skips: float = 0.1  # share of idle firings that fail on a two-stroke
    bog_s: float = 0.3
    clears_after_s: float = 9.0  # a rich engine fires every turn from then on
    starts_at_s: float = 0.0  # what the clip leaves out at the start
    ends_at_s: float = 99.0


@dataclass
class Turns:
    """What happened at each possible firing, in order of time."""

    at_s: list[float] = field(default_factory=list)
    rpm: list[float] = field(default_factory=list)
    fired: list[bool] = field(default_factory=list)
    strength: list[float] = field(default_factory=list)
    throttle: list[float] = field(default_factory=list)


@dataclass(frozen=True)
class Truth:
    seconds: float
    rpm: np.ndarray  # every TRUTH_STEP_S from 0
    firing: np.ndarray
    held: tuple[float, float] | None
    drop_outs: list[tuple[float, float]]
    verdict: str
    ceiling_rpm: float | None
    idle_rpm: float
    fires_per_turn: float
    at_s: np.ndarray  # each possible firing
    fired: np.ndarray
    even: bool  # a limiter that cuts every second firing or so at one speed: `listen` may give any verdict


class Spark:
    """Says for each possible firing whether it fires, by the rule of its kind."""

    def __init__(self, engine: Engine, rng: np.random.Generator) -> None:
        self.engine, self.rng = engine, rng
        self.burst_left = 0
        self.count = 0
        self.pattern, self.pattern_left = 1, 0
        self.ceiling = self._new_ceiling(0.0)
        self.cutting = False
        self.bog_fires = rng.uniform(0.3, 0.8)

    def fires(self, rpm: float, throttle: float, held_s: float) -> bool:
        self.count += 1
        if throttle < 0.3:
            return not (self.engine.fires_per_turn == 1 and self.rng.random() < self.engine.idle_skips)
        kind = self.engine.kind
        if kind in ("rich", "eight"):
            return self._pattern_fires(held_s)
        if kind in ("breaks", "mild", "heats"):
            return self._failing_fires(rpm, held_s)
        if kind == "limiter":
            return self._limiter_fires(rpm)
        if kind == "bog" and held_s < self.engine.bog_s:
            return bool(self.rng.random() < self.bog_fires)
        return bool(self.rng.random() > 0.002)

    def _pattern_fires(self, held_s: float) -> bool:
        if held_s > self.engine.clears_after_s:
            return True
        if self.pattern_left <= 0:
            choices = (1, 2, 2, 3) if self.engine.kind == "rich" else (2, 4, 4, 3)
            self.pattern = int(self.rng.choice(choices)) if held_s > 0.15 else 1
            self.pattern_left = int(self.rng.uniform(12, 90))
        self.pattern_left -= 1
        return self.count % self.pattern == 0 and self.rng.random() > 0.01

    def _new_ceiling(self, held_s: float) -> float:
        e = self.engine
        share = e.ceiling_share
        if e.kind == "heats":
            share += max(0.0, 1.02 - share) * np.exp(-max(held_s - e.heats_after_s, 0) / 0.6) if held_s > 0 else 0.5
        return e.top_rpm * share * (1 + e.spread * self.rng.normal())

    def _failing_fires(self, rpm: float, held_s: float) -> bool:
        e = self.engine
        if e.kind == "heats" and held_s < e.heats_after_s:
            return True
        if self.burst_left > 0:
            self.burst_left -= 1
            if self.burst_left == 0:
                self.ceiling = self._new_ceiling(held_s)
            return bool(self.rng.random() < 0.08)
        if e.kind == "heats":
            self.ceiling = min(self.ceiling, self._new_ceiling(held_s))
        if rpm > self.ceiling:
            self.burst_left = 1 + int(self.rng.gamma(2.0, e.burst_firings / 2))
            return False
        near = max(0.0, rpm / self.ceiling - 0.9) * 10
        return bool(self.rng.random() > 0.12 * near)

    def _limiter_fires(self, rpm: float) -> bool:
        line = self.engine.top_rpm * self.engine.ceiling_share
        if rpm > line:
            self.cutting = True
        elif rpm < line * (1 - self.engine.spread):
            self.cutting = False
        return not self.cutting


def throttle_at(engine: Engine, at_s: float) -> float:
    """How far the slide is open, 0 to 1."""
    opening = (at_s - engine.opens_s) / engine.opening_s
    shutting = (at_s - engine.opens_s - engine.opening_s - engine.hold_s) / 0.15
    return float(min(max(opening, 0.0), 1.0) * (1 - min(max(shutting, 0.0), 1.0)))


def pull_rpm_s(engine: Engine, rpm: float, throttle: float, held_s: float) -> float:
    """Acceleration that one firing's torque gives while it lasts, rpm/s."""
    share = rpm / engine.top_rpm
    wide = engine.climb_rpm_s * (0.6 + 0.9 * share) * (1 - min(share, 1.3) ** 6) + friction_rpm_s(engine, rpm)
    if engine.kind == "bog" and held_s < engine.bog_s:
        wide *= 0.45
    idle = friction_rpm_s(engine, engine.idle_rpm) * (engine.idle_rpm / rpm) ** 2
    return max(throttle * wide, 0.0) + (1 - throttle) * idle


def friction_rpm_s(engine: Engine, rpm: float) -> float:
    return engine.friction_rpm_s * (0.25 + 0.75 * (rpm / engine.top_rpm) ** 2)


def run(engine: Engine, rng: np.random.Generator) -> tuple[Turns, Truth]:
    """Turns the engine over until the clip ends."""
    turns, spark = Turns(), Spark(engine, rng)
    ends_s = engine.opens_s + engine.opening_s + engine.hold_s + engine.after_s
    now_s, rpm, skipped = 0.0, engine.idle_rpm, 0
    half_s = engine.opens_s + engine.opening_s / 2
    while now_s < ends_s:
        throttle, held_s = throttle_at(engine, now_s), now_s - half_s
        fires = spark.fires(rpm, throttle, held_s)
        fill = 1 + 0.25 * min(skipped, 3) if engine.kind in ("rich", "eight") or throttle < 0.3 else 1.0
        strength = fires * fill * max(0.2, 1 + engine.uneven * rng.normal())
        step_s = 60.0 / rpm / engine.fires_per_turn
        boost = 1 / (1 - engine.idle_skips) if throttle < 0.3 and engine.fires_per_turn == 1 else 1.0
        gain = strength * boost * pull_rpm_s(engine, rpm, throttle, held_s) - friction_rpm_s(engine, rpm)
        turns.at_s.append(now_s)
        turns.rpm.append(rpm)
        turns.fired.append(fires)
        turns.strength.append(strength)
        turns.throttle.append(throttle)
        rpm = max(rpm + gain * step_s, engine.idle_rpm * 0.6)
        skipped = 0 if fires else skipped + 1
        now_s += step_s
    return turns, _truth(engine, turns, ends_s)


def missed_runs(turns: Turns, held: tuple[float, float], patterned: bool) -> list[tuple[float, float]]:
    """The drop-outs by the manual's rule: from the first missed firing to the next that fires."""
    runs: list[tuple[float, float]] = []
    first = None
    for index, fired in enumerate(turns.fired):
        if not held[0] <= turns.at_s[index] <= held[1]:
            continue
        if not fired and first is None:
            first = index
        if fired and first is not None:
            gap = (turns.at_s[first], turns.at_s[index])
            if index - first >= LEAST_MISSED and gap[1] - gap[0] >= LEAST_GAP_S and not patterned:
                runs.append(gap)
            first = None
    joined: list[tuple[float, float]] = []
    for gap in runs:
        if joined and gap[0] - joined[-1][1] < JOIN_S:
            joined[-1] = (joined[-1][0], gap[1])
        else:
            joined.append(gap)
    return joined


def _truth(engine: Engine, turns: Turns, ends_s: float) -> Truth:
    begins_s = engine.starts_at_s
    ends_s = min(ends_s, engine.ends_at_s)
    opened_s = engine.opens_s + engine.opening_s / 2
    held = (opened_s, min(engine.opens_s + engine.opening_s + engine.hold_s, ends_s))
    gaps = missed_runs(turns, held, engine.kind in ("rich", "eight"))
    grid_s = np.arange(begins_s, ends_s, TRUTH_STEP_S)
    middle_s = (
        np.array(turns.at_s) + 30.0 / np.array(turns.rpm) / engine.fires_per_turn
    )  # the speed from one firing to the next
    rpm = np.interp(grid_s, middle_s, turns.rpm)
    firing = np.ones(len(grid_s), bool)
    for start, end in gaps:
        firing[(grid_s >= start) & (grid_s <= end)] = False
    breaks = engine.kind in ("breaks", "mild", "heats", "limiter")
    ceiling = None
    if breaks and gaps:
        within = (grid_s >= gaps[0][0]) & (grid_s <= held[1])
        ceiling = float(np.percentile(rpm[within], 85))
    verdict = "breaks-down" if breaks else "revs-out"
    shown = begins_s <= engine.opens_s - 0.2
    if not shown or held[1] - held[0] < 1.0:
        verdict = "unclear"
    moved = [(start - begins_s, end - begins_s) for start, end in gaps]
    seen = (held[0] - begins_s, held[1] - begins_s)
    at_s = np.array(turns.at_s)
    return Truth(
        seconds=ends_s - begins_s,
        rpm=rpm,
        firing=firing,
        held=seen if shown else None,
        drop_outs=moved,
        verdict=verdict,
        ceiling_rpm=ceiling,
        idle_rpm=float(np.median(np.array(turns.rpm)[at_s < engine.opens_s])),
        fires_per_turn=engine.fires_per_turn,
        at_s=at_s - begins_s,
        fired=np.array(turns.fired),
        even=engine.kind == "limiter" and not gaps and _is_even(turns, held),
    )


def _is_even(turns: Turns, held: tuple[float, float]) -> bool:
    """Whether, from the first cut on, hardly ever more than one firing is left out at a time."""
    at_s, fired = np.array(turns.at_s), np.array(turns.fired)
    within = np.flatnonzero((at_s >= held[0]) & (at_s <= held[1]))
    cut = within[~fired[within]]
    if not len(cut):
        return True
    spacings = np.diff(within[fired[within] & (within >= cut[0] - 1)])
    return len(spacings) > 0 and float(np.mean(spacings <= 2)) >= EVEN_SHARE
