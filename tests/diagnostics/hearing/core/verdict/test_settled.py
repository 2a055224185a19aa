"""An engine that is thrown back from its ceiling is told by speed, loudness and evidence together, without a firing."""

import numpy as np
import pytest

from diagnostics.hearing.core import limits, verdict_limits
from diagnostics.hearing.core.following.track import Track
from diagnostics.hearing.core.verdict.settled import (
    abruptness,
    correlation,
    flutter,
    lapses,
    pull,
    regains,
    settled_in,
    slopes,
)

STEADY = np.full(400, 8000.0)


def settled(rpm=STEADY, loud=0.0, evidence=1.0, held=(0.0, 4.0)):
    seen = np.broadcast_to(np.asarray(evidence, float), len(rpm)).copy()
    track = Track(np.asarray(rpm, float) / 60, seen, np.ones(8, np.float32), 1.0)
    return settled_in(track, np.broadcast_to(np.asarray(loud, float), len(rpm)).copy(), held)


def thrown_back(late_blocks=0):
    """Speed and loudness of an engine that fires for 0.2 s and fails for 0.1 s, again and again; the speed is late."""
    fires = np.arange(400) % 30 < 20
    rpm = 8000 * np.exp(np.cumsum(np.where(fires, 0.5, -1.0)) * limits.BLOCK_S)
    return np.roll(rpm, late_blocks), np.where(fires, 0.0, -1.0)


def test_a_slope_is_the_change_of_ln_speed_a_second_and_nothing_at_the_ends():
    found = slopes(8000 * np.exp(-1.5 * np.arange(60) * 0.01))
    assert found[5:-5] == pytest.approx(-1.5, rel=1e-6)
    assert (found[:3] == 0).all()
    assert (found[-3:] == 0).all()
    assert slopes(np.array([8000.0, 7000.0, 6000.0])).tolist() == [0.0, 0.0, 0.0]
    assert slopes(np.geomspace(8000, 7000, 6)).tolist() == [0.0] * 6
    assert slopes(np.geomspace(8000, 7000, 7))[3] != 0


def test_a_steady_engine_shows_nothing():
    those = settled()
    for measure in (regains, flutter, pull, lapses):
        assert measure(those) == pytest.approx(0.0, abs=1e-9)


def test_an_engine_that_is_thrown_back_shows_in_every_measure():
    rpm, loud = thrown_back()
    those = settled(rpm, loud, 1.0 + 0.5 * loud)
    assert regains(those) > 0.4  # it fires for two thirds of the time, and slopes are smoothed
    assert flutter(those) > 0.3
    assert pull(those) > 0.6
    assert lapses(those) > 0.2


def test_a_gain_or_a_gust_pulls_no_crank():
    _, loud = thrown_back()
    assert pull(settled(STEADY, loud)) == 0.0
    rpm, _ = thrown_back()
    assert pull(settled(rpm, np.random.default_rng(4).normal(size=400))) < 0.35


def test_the_speed_may_come_a_little_after_the_loudness():
    rpm, loud = thrown_back(late_blocks=2)
    assert pull(settled(rpm, loud)) > 0.6


def test_what_changes_slowly_is_no_flutter_and_nothing_regained():
    slow = np.sin(np.arange(400) / 100)
    those = settled(8000 * np.exp(0.05 * slow), slow)
    assert regains(those) == 0
    assert flutter(those) < 0.06


def test_the_climb_is_left_out_and_a_hold_that_still_climbs_keeps_a_fifth_of_a_second():
    climbs = np.concatenate([np.geomspace(2000, 8000, 100), np.full(300, 8000.0)])
    assert len(settled(climbs).ln_rpm) <= 300
    assert np.ptp(settled(climbs).ln_rpm) == 0
    assert len(settled(np.geomspace(2000, 9000, 400), held=(0.0, 0.3)).ln_rpm) == verdict_limits.SETTLED_AT_LEAST_BLOCKS


def test_a_hold_of_a_few_blocks_is_measured_without_trouble():
    those = settled(held=(3.9, 3.95))
    assert pull(those) == 0.0
    assert regains(those) == 0


def test_a_climb_that_is_cut_off_is_more_abrupt_than_one_that_runs_out_of_pull():
    """From 65 to 92 % of a climb of 6,000 rpm to 8,000: 27 % of it, as a share of the top a second."""
    cut_off = np.concatenate([np.linspace(2000, 8000, 61), np.full(200, 8000.0)])
    assert abruptness(cut_off, 2000.0) == pytest.approx(np.log1p(6000 / 8000 / 0.6), rel=0.05)
    easing = 8000 - 6000 * np.exp(-np.arange(261) / 30)
    assert abruptness(easing, 2000.0) < 0.8 * abruptness(cut_off, 2000.0)
    assert abruptness(STEADY, 8000.0) == 0.0


def test_what_does_not_change_has_no_correlation():
    assert correlation(np.ones(5), np.arange(5.0)) == 0.0
