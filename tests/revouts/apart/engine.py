"""An engine in small steps of time: charge, burnt rest, compression, friction, and a spark that needs voltage enough.

Nothing here is shared with the other generators but the truth's definition. Whether a charge lights follows from how
much of it is fresh, so uneven tickover and four-stroking come by themselves; whether the spark jumps follows from the
voltage a coil gives and the voltage the plug needs. Units are SI, speeds in rad/s; numbers are common sense, no source.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from tests.revouts.wide.crank import Turned

STEP_S = 0.0004
TURN = 2 * math.pi
BURNS_OVER = math.radians(35)  # crank angle to the greatest push
PUSHES_OVER = math.radians(110)  # until the exhaust opens
GREATEST = TURN / (BURNS_OVER * math.e * (1 - math.exp(-PUSHES_OVER / BURNS_OVER) * (1 + PUSHES_OVER / BURNS_OVER)))
LEAST_RAD_S = 50.0
STRONG = 3.0  # of a spark that nothing is wrong with: voltage over what a usual charge needs
ROAMS_S = 0.4  # how long the mixture stays as it is


@dataclass(frozen=True)
class Machine:
    """Torques N m, inertia kg m2. Shares of 1 unless the name says otherwise."""

    fires_per_turn: float
    inertia: float
    push_nm: float  # mean torque of a full charge over a turn
    breathes_rad_s: float  # speed at which half of the filling is lost
    steepness: float
    tuned_rad_s: float
    tuned: float
    rubs_nm: float
    rubs_faster_nm: float  # at breathes_rad_s, on top
    squeeze_nm: float  # compression: slows before the firing and pushes after it
    idle_rad_s: float
    scavenged: float  # share of the cylinder that is fresh after a firing, throttle open
    scavenged_shut: float
    roams: float  # spread of it over time
    lights_from: float  # least fresh share that lights
    lights_width: float
    rough: float
    starved: float  # filling lost by the end of the hold
    bogs_s: float
    flutter: float  # of the reed, above the tuned speed


@dataclass(frozen=True)
class Hand:
    """When the throttle moves, s. It has the names that the truth asks for."""

    fires_per_turn: float
    idle_rpm: float
    opens_s: float
    opening_s: float
    shuts_s: float
    shutting_s: float
    ends_s: float
    starts_at_s: float
    touches: tuple[tuple[float, float], ...]

    def open_at(self, at_s: float) -> float:
        """Smooth, as a hand is."""
        if any(start <= at_s < end for start, end in self.touches):
            return 0.7
        up = min(max((at_s - self.opens_s) / self.opening_s, 0.0), 1.0)
        down = min(max((at_s - self.shuts_s) / self.shutting_s, 0.0), 1.0)
        return up * up * (3 - 2 * up) * (1 - down)


@dataclass(frozen=True)
class Ignition:
    """volts: over what a usual charge needs, at a cold start and low speed; STRONG is sound."""

    volts: float
    weaker_rad_s: float  # speed at which half of it is left
    fade: float  # how steeply
    warm_from_s: float  # since half open
    warm_loses: float  # of the voltage, in the end
    warm_in_s: float
    jitter: float  # spread of what the plug needs
    fouled: float  # how long a bad moment lasts, share that the next firing keeps
    dense_needs: float  # what a dense charge needs on top
    off_rad_s: float  # a unit that goes off above this
    off_s: tuple[float, float]  # and stays off so long,
    on_rad_s: float  # and until it is as slow as this
    loose_a_second: float  # a wire that opens, at breathes_rad_s
    loose_s: tuple[float, float]
    skips_a_second: float  # single misses of a sound one


@dataclass
class _State:
    fresh: float = 0.9
    roamed: float = 0.0
    bad: float = 0.0
    off_until_s: float = -1.0
    is_off: bool = False
    missed: int = 0


def run(machine: Machine, hand: Hand, ignition: Ignition, rng: np.random.Generator) -> Turned:
    """What happened at each top dead centre that may fire."""
    turned, state = Turned(), _State()
    between = TURN / machine.fires_per_turn
    speed, angle, air, push = machine.idle_rad_s, 0.0, hand.open_at(0.0), 0.0
    next_at = between
    for step in range(int(hand.ends_s / STEP_S)):
        now_s = step * STEP_S
        opened = hand.open_at(now_s)
        air += (opened - air) * STEP_S / 0.025
        since = angle - next_at + between
        burning = push * _burn(since) if since < PUSHES_OVER else 0.0
        squeezed = machine.squeeze_nm * math.sin(max(machine.fires_per_turn, 1.0) * angle) * (0.3 + 0.7 * air)
        rubbing = machine.rubs_nm + machine.rubs_faster_nm * (speed / machine.breathes_rad_s) ** 2
        torque = burning + squeezed - rubbing
        speed = max(speed + torque / machine.inertia * STEP_S, LEAST_RAD_S)
        angle += speed * STEP_S
        if angle >= next_at:
            at_s = now_s + STEP_S - (angle - next_at) / speed
            push = _fired(machine, hand, ignition, state, turned, at_s, speed, air, rng)
            next_at += between
    return turned


def _burn(angle: float) -> float:
    """Torque over its mean over a turn, as the pressure rises and falls."""
    return GREATEST * (angle / BURNS_OVER) * math.exp(1 - angle / BURNS_OVER)


def filled(machine: Machine, speed: float, air: float) -> float:
    """How full the cylinder gets at this speed and throttle, 1 at most."""
    breath = 1 / (1 + (speed / machine.breathes_rad_s) ** machine.steepness)
    tuned = 1 + machine.tuned * math.exp(-(((speed / machine.tuned_rad_s - 1) / 0.2) ** 2))
    shut = machine.rubs_nm / machine.push_nm * 1.25 * (machine.idle_rad_s / speed) ** 1.5
    return max(air * breath * tuned, min(shut, 0.6) * (1 - air))


def _fired(
    machine: Machine, hand: Hand, ignition: Ignition, state: _State, turned: Turned,
    at_s: float, speed: float, air: float, rng: np.random.Generator,
) -> float:  # fmt: skip
    """Lets one charge burn or not, notes it, and returns its torque."""
    held_s = at_s - hand.opens_s - hand.opening_s / 2
    into = min(max(held_s / max(hand.shuts_s - hand.opens_s, 0.1), 0.0), 1.0)
    is_bogging = 0 < held_s < machine.bogs_s
    full = filled(machine, speed, air) * (1 - machine.starved * into) * (0.4 if is_bogging else 1.0)
    if machine.flutter and speed > machine.tuned_rad_s:
        full *= max(0.3, 1 - machine.flutter * abs(rng.normal()))
    jumps = _jumps(ignition, machine, state, at_s, held_s, speed, full if air > 0.3 else 0.2, rng)
    is_overrun = air < 0.2 and speed > 1.4 * machine.idle_rad_s
    margin = (state.fresh * (0.7 if is_bogging else 1.0) - machine.lights_from) / machine.lights_width
    lights = rng.random() < (0.15 if is_overrun else 1.0) / (1 + math.exp(-margin))
    burns = bool(jumps and lights)
    strength = state.fresh * max(0.2, 1 + machine.rough * rng.normal()) if burns else 0.0
    _scavenge(machine, state, burns, air, TURN / speed / machine.fires_per_turn, rng)
    turned.at_s.append(at_s)
    turned.rpm.append(speed * 60 / TURN)
    turned.fired.append(burns)
    turned.strength.append(float(strength * (0.35 + 0.65 * full)))
    turned.throttle.append(air)
    turned.lost.append(not jumps)
    return machine.push_nm * full * strength


def _scavenge(
    machine: Machine, state: _State, burned: bool, air: float, took_s: float, rng: np.random.Generator
) -> None:
    """What is in the cylinder next: burnt rest is left after a firing, and less of it after each turn without."""
    keep = math.exp(-took_s / ROAMS_S)
    state.roamed = keep * state.roamed + math.sqrt(1 - keep**2) * float(rng.normal())
    share = machine.scavenged_shut + (machine.scavenged - machine.scavenged_shut) * air + machine.roams * state.roamed
    share = min(max(share, 0.15), 0.98)
    state.fresh = share if burned else 1 - (1 - state.fresh) * (1 - share)


def top_rad_s(machine: Machine) -> float:
    """Where a full throttle and friction balance."""
    speeds = np.linspace(machine.idle_rad_s * 1.5, 1800, 600)
    push = [machine.fires_per_turn * machine.push_nm * filled(machine, speed, 1.0) * 0.9 for speed in speeds]
    rubs = machine.rubs_nm + machine.rubs_faster_nm * (speeds / machine.breathes_rad_s) ** 2
    return float(speeds[max(int(np.argmax(np.array(push) < rubs)), 1)])


def _jumps(
    ignition: Ignition, machine: Machine, state: _State, at_s: float, held_s: float, speed: float, dense: float,
    rng: np.random.Generator,
) -> bool:  # fmt: skip
    if held_s < -0.5:
        return True  # tickover: asked for little
    if _is_off(ignition, machine, state, at_s, speed, rng):
        return False
    state.bad = ignition.fouled * state.bad + math.sqrt(1 - ignition.fouled**2) * float(rng.normal())
    warm = min(max((held_s - ignition.warm_from_s) / ignition.warm_in_s, 0.0), 1.0)
    given = ignition.volts * (1 - ignition.warm_loses * warm)
    given /= 1 + (speed / ignition.weaker_rad_s) ** ignition.fade
    needed = (1 + ignition.dense_needs * dense**3) * math.exp(ignition.jitter * state.bad)
    if state.missed == 0 and rng.random() < ignition.skips_a_second * TURN / speed / machine.fires_per_turn:
        state.missed = 1
        return False
    state.missed = 0
    return given > needed


def _is_off(
    ignition: Ignition, machine: Machine, state: _State, at_s: float, speed: float, rng: np.random.Generator
) -> bool:
    """A unit that switches off above a speed, or a wire that opens as everything shakes."""
    if at_s < state.off_until_s:
        return True
    if state.is_off and speed > ignition.on_rad_s:
        return True
    state.is_off = speed > ignition.off_rad_s
    if state.is_off:
        state.off_until_s = at_s + float(rng.uniform(*ignition.off_s))
        return True
    shaking = min(0.3 + (speed / machine.breathes_rad_s) ** 2, 1.5)
    if rng.random() < ignition.loose_a_second * shaking * TURN / speed / machine.fires_per_turn:
        state.off_until_s = at_s + float(rng.uniform(*ignition.loose_s))
        return True
    return False
