"""What a spark, and what a mixture, does at each firing with the throttle open. Each maker draws a rule of its own.

Failing sparks: cut at a speed and back at a lower one, scattered over a threshold, missing at random the more the
faster, an earth that comes and goes, failing when warm, a cut that lasts. Sound engines that are not even: one missed
firing now and then, a weak spark that fails only under load, rich running, a reed that flutters.
All numbers are common practice or common sense, no source.
"""

from __future__ import annotations

import numpy as np

from tests.revouts.wide.crank import FIRED, NOT_LIT, SPARK_LOST, Charge, Crank, Moment, Rule


def always(crank: Crank, rng: np.random.Generator) -> Rule:
    return lambda now, draw: FIRED


def lone(crank: Crank, rng: np.random.Generator) -> Rule:
    """One firing missed now and then, seldom two in a row: plugs do that, and it counts for nothing."""
    a_second = rng.uniform(0.4, 4.0)
    twice = rng.uniform(0.0, 0.2)
    row = [0]

    def rule(now: Moment, draw: np.random.Generator) -> Charge:
        chance = twice if row[0] == 1 else a_second * now.period_s
        if row[0] < 2 and draw.random() < chance:
            row[0] += 1
            return SPARK_LOST
        row[0] = 0
        return FIRED

    return rule


def under_load(crank: Crank, rng: np.random.Generator) -> Rule:
    """A weak spark that fails where the charge is densest: as the engine pulls up through the middle of its speeds."""
    worst = rng.uniform(0.1, 0.35)
    row = [0]

    def rule(now: Moment, draw: np.random.Generator) -> Charge:
        share = now.rpm / crank.top_rpm
        dense = max(0.0, 1 - abs(share - 0.6) / 0.25) * min(max(now.rising_rpm_s / 4000, 0.0), 1.0)
        if row[0] < 2 and draw.random() < worst * dense:
            row[0] += 1
            return SPARK_LOST
        row[0] = 0
        return FIRED

    return rule


def rich(crank: Crank, rng: np.random.Generator) -> Rule:
    """Fires every second, third or fourth turn for stretches; each firing then pushes harder."""
    return _patterned(rng.uniform(0.4, 0.95), (2, 2, 2, 3, 4), rng.uniform(0.6, 9.0), rng)


def steadily_rich(crank: Crank, rng: np.random.Generator) -> Rule:
    """Four-strokes, or eight-strokes, from the first to the last of the hold."""
    return _patterned(1.0, (2,) if rng.random() < 0.75 else (4,), 99.0, rng)


def _patterned(share: float, patterns: tuple[int, ...], clears_s: float, rng: np.random.Generator) -> Rule:
    pushes = {1: 1.0, 2: rng.uniform(1.4, 1.85), 3: rng.uniform(1.7, 2.5), 4: rng.uniform(2.0, 3.0)}
    loud, slips = rng.uniform(1.0, 1.6), rng.uniform(0.0, 0.06)
    pattern, left, count = [1], [0], [0]

    def rule(now: Moment, draw: np.random.Generator) -> Charge:
        count[0] += 1 + (draw.random() < slips)
        if left[0] <= 0:
            is_rich = 0.1 < now.held_s < clears_s and draw.random() < share
            pattern[0] = int(draw.choice(patterns)) if is_rich else 1
            left[0] = int(draw.uniform(8, 80))
        left[0] -= 1
        every = pattern[0]
        if count[0] % every:
            return NOT_LIT
        return Charge(pushes[every], loud if every > 1 else 1.0)

    return rule


def bogging(crank: Crank, rng: np.random.Generator) -> Rule:
    """Too lean as the throttle opens: some charges do not light, none of them by the spark."""
    lights = rng.uniform(0.35, 0.9)

    def rule(now: Moment, draw: np.random.Generator) -> Charge:
        return NOT_LIT if now.held_s < crank.bog_s and draw.random() > lights else FIRED

    return rule


def fluttering(crank: Crank, rng: np.random.Generator) -> Rule:
    """A reed that no longer closes in time: above a speed the filling is uneven and weaker, but every charge lights."""
    line, rough = crank.top_rpm * rng.uniform(0.6, 0.85), rng.uniform(0.15, 0.4)
    weaker = rng.uniform(0.8, 0.95)
    turn = [0]

    def rule(now: Moment, draw: np.random.Generator) -> Charge:
        turn[0] += 1
        if now.rpm < line:
            return FIRED
        filled = max(0.25, weaker + rough * (0.6 * draw.normal() + 0.5 * (-1) ** turn[0]))
        return Charge(filled, filled)

    return rule


def cut(crank: Crank, rng: np.random.Generator, line_rpm: float) -> Rule:
    """Off above a speed, on again below a lower one."""
    return _cut_at(line_rpm, rng.uniform(0.008, 0.06))


def lasting_cut(crank: Crank, rng: np.random.Generator, line_rpm: float) -> Rule:
    """Off for longer than on: the unit comes back only after a while, or far below."""
    if rng.random() < 0.5:
        return _cut_at(line_rpm, rng.uniform(0.15, 0.4))
    least_s, most_s = rng.uniform(0.08, 0.2), rng.uniform(0.2, 0.5)
    until_s = [-1.0]

    def rule(now: Moment, draw: np.random.Generator) -> Charge:
        if now.at_s >= until_s[0] and now.rpm > line_rpm:
            until_s[0] = now.at_s + draw.uniform(least_s, most_s)
        return SPARK_LOST if now.at_s < until_s[0] else FIRED

    return rule


def _cut_at(line_rpm: float, lower: float) -> Rule:
    off = [False]

    def rule(now: Moment, draw: np.random.Generator) -> Charge:
        off[0] = now.rpm > line_rpm * (1 - lower * off[0])
        return SPARK_LOST if off[0] else FIRED

    return rule


def scattered(crank: Crank, rng: np.random.Generator, line_rpm: float) -> Rule:
    """Bursts of missed firings that are the likelier the further over a threshold; a few sparks get through."""
    width, mean = line_rpm * rng.uniform(0.008, 0.035), rng.uniform(4, 16)
    through, bang = rng.uniform(0.0, 0.15), rng.uniform(0.0, 0.35)
    left = [0]

    def rule(now: Moment, draw: np.random.Generator) -> Charge:
        if left[0] > 0:
            left[0] -= 1
            if draw.random() < through:
                return Charge(0.6, 0.8)
            return SPARK_LOST if left[0] or draw.random() > bang else Charge(0.8, float(draw.uniform(1.5, 3.5)))
        over = min(max((now.rpm - line_rpm) / width, -20.0), 20.0)
        if draw.random() < 0.5 / (1 + np.exp(-over)):
            left[0] = int(draw.gamma(2.0, mean / 2))
            return SPARK_LOST
        return FIRED

    return rule


def at_random(crank: Crank, rng: np.random.Generator, line_rpm: float) -> Rule:
    """Missing at random, in runs, the more the faster: no line, only a speed at which the misses eat the pull."""
    worst, power = rng.uniform(0.12, 0.4), rng.uniform(2, 6)
    stays = rng.uniform(0.5, 0.85)
    missing = [False]

    def rule(now: Moment, draw: np.random.Generator) -> Charge:
        begins = worst * min((now.rpm / line_rpm) ** power, 2.0)
        missing[0] = bool(draw.random() < (stays if missing[0] else begins))
        return SPARK_LOST if missing[0] else FIRED

    return rule


def earthing(crank: Crank, rng: np.random.Generator, line_rpm: float) -> Rule:
    """A wire that touches earth as it shakes, for 50 to 300 ms at a time, at any speed."""
    longest_s, between_s = rng.uniform(0.1, 0.3), rng.uniform(0.15, 0.8)
    until_s, again_s = [-1.0], [float(rng.exponential(between_s))]

    def rule(now: Moment, draw: np.random.Generator) -> Charge:
        if now.held_s > again_s[0]:
            until_s[0] = now.held_s + draw.uniform(0.05, longest_s)
            again_s[0] = until_s[0] + 0.03 + draw.exponential(between_s)
        touching = -1.0 < now.held_s < until_s[0]
        return SPARK_LOST if touching and draw.random() > 0.05 else FIRED

    return rule


def warm(crank: Crank, rng: np.random.Generator, line_rpm: float) -> Rule:
    """Sound until a coil or unit is warm, late in the hold: then a threshold falls to where it stays."""
    held_s = crank.shuts_s - crank.opens_s
    from_s, falls_s = held_s * rng.uniform(0.3, 0.7), rng.uniform(0.1, 0.6)
    failing = (cut, scattered, at_random)[int(rng.integers(3))](crank, rng, line_rpm)

    def rule(now: Moment, draw: np.random.Generator) -> Charge:
        if now.held_s < from_s:
            return FIRED
        share = min((now.held_s - from_s) / falls_s, 1.0)
        higher = crank.top_rpm / line_rpm * (1 - share) + share
        seen = Moment(now.at_s, now.held_s, now.rpm / higher, now.throttle, now.rising_rpm_s, now.period_s)
        return failing(seen, draw)

    return rule
