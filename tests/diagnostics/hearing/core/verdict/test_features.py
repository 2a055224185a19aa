"""What is measured of the hold goes the way physics says: what does not fire slows down, what skips evenly is rich."""

import numpy as np
import pytest

from diagnostics.hearing.core.following.parts import Parts
from diagnostics.hearing.core.following.track import Track
from diagnostics.hearing.core.verdict.features import _dives, answering, measured
from diagnostics.hearing.core.verdict.firings import Firings


def held(weak, gains=0.0, pattern=1):
    """What is measured of a hold of 3 s at 8000 rpm in which two stretches of 60 ms are taken for failing."""
    rpm, gaps, at_s = np.full(400, 8000.0), [(1.5, 1.56), (2.5, 2.56)], np.arange(0.5, 3.5, 60 / 8000)
    inside = np.any([(at_s >= a) & (at_s < b) for a, b in gaps], axis=0)
    for start_s, end_s in gaps:
        rpm[round(start_s * 100) : round(end_s * 100)] *= np.linspace(1.0, 1.0 + gains, round(100 * (end_s - start_s)))
        rpm[round(end_s * 100) :] *= 1.0 + gains
    firings = Firings(
        at_s, np.where(inside & weak, -1.5, 0.0), ~inside * 1.0, ~inside * 1.0, np.full(len(at_s), pattern)
    )
    track = Track(rpm / 60, np.ones(400), np.ones(8000, np.float32), 1.0)
    return measured(track, Parts(np.ones(400, bool), 1500.0, 8000.0, (0.5, 3.5)), firings, gaps)


def test_drop_outs_that_no_firing_is_missing_in_are_none():
    found, lost = held(weak=True)
    assert len(lost) == 2
    assert found.lost_share > 0
    for found, lost in (held(weak=False), held(weak=True, gains=0.02), held(weak=True, pattern=2)):
        assert lost == []
        assert found.lost_share == 0


def test_weak_firings_of_an_even_rhythm_do_not_count():
    assert held(weak=True)[0].weak_firings > 0.04
    assert held(weak=True, pattern=2)[0].weak_firings == 0
    assert held(weak=True, pattern=2)[0].skipping == 1


def test_only_what_falls_outside_drop_outs_dives():
    rpm = np.concatenate([np.full(100, 8000.0), np.geomspace(8000, 4000, 30), np.full(70, 4000.0)])
    assert _dives(rpm, 0, []) == pytest.approx(0.15, abs=0.05)
    assert _dives(rpm, 0, [(0.98, 1.32)]) == 0.0


def test_the_speed_answers_to_firings_that_fail_and_not_to_a_gain_that_swings():
    at_s = np.arange(0.5, 4.5, 60 / 8000)
    fails_s = np.arange(0.6, 4.4, 0.31)
    fails = np.any([(at_s >= one) & (at_s < one + 0.06) for one in fails_s], axis=0)
    moments_s = (np.arange(500) + 0.5) * 0.01
    without = np.any([(moments_s >= one) & (moments_s < one + 0.06) for one in fails_s], axis=0)
    # Newton: without torque friction takes half a unit of ln speed a second, with it the speed comes back.
    rpm = 8000 * np.exp(np.cumsum(np.where(without, -0.5, 0.5 * without.mean() / (1 - without.mean()))) * 0.01)
    level = np.where(fails, -2.0, 0.0)
    assert answering(rpm, at_s, level) > 0.6
    assert abs(answering(np.full(500, 8000.0), at_s, level)) < 1e-6
    assert abs(answering(rpm, at_s, np.random.default_rng(3).permutation(level))) < 0.3
    assert answering(rpm, at_s[:5], level[:5]) == 0.0
