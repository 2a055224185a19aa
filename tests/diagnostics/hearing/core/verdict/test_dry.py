"""A missed firing that the walls fill is as loud as others, but brings no fresh power."""

import numpy as np
import pytest

from diagnostics.hearing.core import verdict_limits
from diagnostics.hearing.core.verdict.dry import fresh_power, levels_of, runs


def in_a_room(fires, step_s=0.01):
    """Power in the cycle of each firing, 60 dB of which die away within ROOM_DECAY_S."""
    still, rings = np.exp(-verdict_limits.DECAY_NEPERS * step_s / verdict_limits.ROOM_DECAY_S), 0.0
    power = []
    for fired in fires:
        rings = still * rings + fired
        power.append(rings)
    return np.array(power), np.arange(len(power)) * step_s


def test_walls_fill_a_missed_firing_and_taking_them_off_shows_it():
    fires = np.tile([1.0] * 12 + [0.001] * 2, 20)
    power, at_s = in_a_room(fires)
    missed = fires < 0.5
    missed[:14] = False  # the room is still filling
    assert levels_of(power)[missed].max() > verdict_limits.WEAK
    assert levels_of(fresh_power(power, at_s))[missed].max() < verdict_limits.WEAK
    assert levels_of(fresh_power(power, at_s))[~missed][14:].min() > -0.2


def test_fresh_power_is_never_nothing_and_steady_firing_is_steady():
    power, at_s = in_a_room(np.r_[np.ones(100), np.zeros(100)])
    assert (fresh_power(power, at_s) > 0).all()
    assert np.ptp(levels_of(fresh_power(np.ones(100), np.arange(100) * 0.01))) == pytest.approx(0.0, abs=1e-9)


def test_failings_last_for_several_firings_and_unevenness_for_one():
    chance = np.random.default_rng(5)
    assert abs(runs(chance.normal(size=400))) < 0.15
    assert runs(np.repeat(chance.normal(size=60), 6)) > 0.6
    assert runs(np.tile([0.0, -2.0], 100)) < -0.9
    assert runs(np.zeros(5)) == 0.0
