"""What is measured of the hold goes the way physics says: what does not fire slows down, what skips evenly is rich."""

import numpy as np
import pytest

from diagnostics.hearing.core import verdict_limits
from diagnostics.hearing.core.following.parts import Parts
from diagnostics.hearing.core.following.track import Track
from diagnostics.hearing.core.verdict.features import (
    Features,
    HeardHold,
    _dives,
    answering,
    features,
    measured,
    slowing,
)
from diagnostics.hearing.core.verdict.firings import Firings


def held(weak, gains=0.0, pattern=1):
    """What is measured of a hold of 3 s at 8000 rpm in which two stretches of 60 ms are taken for failing."""
    rpm, gaps, at_s = np.full(400, 8000.0), [(1.5, 1.56), (2.5, 2.56)], np.arange(0.5, 3.5, 60 / 8000)
    inside = np.any([(at_s >= a) & (at_s < b) for a, b in gaps], axis=0)
    for start_s, end_s in gaps:
        rpm[round(start_s * 100) : round(end_s * 100)] *= np.linspace(1.0, 1.0 + gains, round(100 * (end_s - start_s)))
        rpm[round(end_s * 100) :] *= 1.0 + gains
    level = np.where(inside, -1.5 if weak else -0.7, 0.0)
    firings = Firings(at_s, level, ~inside * 1.0, ~inside * 1.0, np.full(len(at_s), pattern), np.exp(2 * level))
    track = Track(rpm / 60, np.ones(400), np.ones(8000, np.float32), 1.0)
    parts = Parts(np.ones(400, bool), 1500.0, 8000.0, (0.5, 3.5))
    return measured(HeardHold(track, parts, firings, inside, np.zeros(400)))


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


def hold(rpm, level=0.0, pattern=1, lost=(), held_s=(0.5, 3.5), missed=False):
    """Features of a hold at 100 firings a second; rpm: of each block of 4 s; level, pattern: of each firing or all."""
    at_s = np.arange(round(100 * held_s[0]), round(100 * held_s[1])) / 100
    levels, patterns, gone = (
        np.broadcast_to(np.asarray(value), len(at_s)).copy() for value in (level, pattern, missed)
    )
    alike = np.ones(len(at_s))
    firings = Firings(at_s, levels.astype(float), alike, alike, patterns.astype(np.int64), np.exp(2.0 * levels))
    track = Track(np.asarray(rpm, float) / 60, np.ones(len(rpm)), np.ones(8000, np.float32), 1.0)
    parts = Parts(np.ones(len(rpm), bool), 1500.0, 8000.0, held_s, lulls=-0.5)
    return features(HeardHold(track, parts, firings, gone, np.zeros(len(rpm))), list(lost))


STEADY = np.full(400, 8000.0)


def test_an_even_hold_shows_nothing():
    found = hold(STEADY)
    assert found == Features(
        lost_share=0.0,
        weak=pytest.approx(np.log(verdict_limits.FEW_WEAK)),
        missed=0.0,
        shallow=0.0,
        answers=pytest.approx(0.0, abs=1e-6),
        slows=0.0,
        dry_answers=pytest.approx(0.0, abs=1e-6),
        dry_runs=pytest.approx(0.0, abs=1e-6),
        regains=0.0,
        abrupt=0.0,
        flutter=0.0,
        pull=0.0,
        lapses=pytest.approx(0.0, abs=1e-9),
        lulls=-0.5,
        skipping=0.0,
        weak_firings=0.0,
        dives=0.0,
    )


def test_the_share_lost_is_the_root_of_the_time_lost_after_the_bog():
    # Of 3 s the first half second does not count: 0.4 s of 2.5 are lost, and what was lost before is not.
    found = hold(STEADY, lost=[(0.6, 0.9), (1.5, 1.7), (2.5, 2.7)])
    assert found.lost_share == pytest.approx((0.4 / 2.5) ** 0.5)


def test_a_short_hold_keeps_three_tenths_of_a_second_to_look_at():
    found = hold(STEADY, lost=[(0.7, 0.85)], held_s=(0.5, 1.0))
    assert found.lost_share == pytest.approx(0.5**0.5)


def test_weak_and_skipping_firings_are_counted_after_the_bog():
    level = np.zeros(300)
    level[:50] = -2.0
    level[100:150] = -1.0
    level[150:200] = -0.7  # not weak: quieter by less than LEVEL of WEAK
    found = hold(STEADY, level)
    assert found.weak_firings == pytest.approx(50 / 250, abs=0.005)
    assert found.weak == pytest.approx(np.log(verdict_limits.FEW_WEAK + 0.2), abs=0.02)
    pattern = np.ones(300)
    pattern[:150] = 2
    rich = hold(STEADY, level, pattern)
    assert rich.skipping == pytest.approx(100 / 250, abs=0.005)
    assert rich.weak_firings == 0.0


def test_missed_and_shallow_are_shares_of_the_firings():
    level = np.zeros(300)
    level[100:150] = -0.6  # not weak, but quieter than walls leave a firing that came
    found = hold(STEADY, level, missed=np.arange(300) < 30)
    assert found.missed == pytest.approx(0.1)
    assert found.shallow == pytest.approx(50 / 250)
    assert found.weak_firings == 0.0


def test_what_answers_counts_less_where_a_rhythm_is_kept():
    at_s = np.arange(50, 350) / 100
    fails = (at_s * 100 % 31 < 6) & (at_s > 0.6)
    moments_s = (np.arange(400) + 0.5) * 0.01
    without = (moments_s * 100 % 31 < 6) & (moments_s > 0.6)
    rpm = 8000 * np.exp(np.cumsum(np.where(without, -0.5, 0.12)) * 0.01)
    level = np.where(fails, -2.0, 0.0)
    plain = hold(rpm, level)
    assert plain.answers > 0.5
    pattern = np.where(at_s < 2.25, 2, 1)  # half of what counts
    assert hold(rpm, level, pattern).answers == pytest.approx(plain.answers * 0.5, rel=0.02)


def test_only_drop_outs_after_the_bog_tell_how_the_engine_slows():
    rpm = STEADY.copy()
    rpm[60:80] = np.geomspace(8000, 6000, 20)
    rpm[80:100] = np.geomspace(6000, 8000, 20)
    rpm[200:240] *= np.exp(-0.01 * np.arange(40))
    rpm[240:] *= np.exp(-0.4)
    found = hold(rpm, lost=[(0.6, 0.8), (2.0, 2.4)])
    assert found.slows == pytest.approx(1.0, rel=0.15)
    assert slowing(rpm, []) == 0.0


def test_slowing_is_an_average_over_all_the_time_that_is_lost():
    rpm = STEADY.copy()
    rpm[200:] *= np.exp(-0.1)
    # A tenth of ln speed in the second of two that last 0.2 s each.
    assert slowing(rpm, [(1.0, 1.2), (1.9, 2.1)]) == pytest.approx(0.25, rel=0.01)
    assert slowing(rpm, [(1.901, 2.099)]) == pytest.approx(0.5, rel=0.01)
    assert slowing(rpm, [(3.9, 4.2)]) == pytest.approx(0.0, abs=1e-9)
    assert slowing(rpm, [(5.0, 5.2)]) == 0.0


def test_dives_are_a_share_of_what_fires_once_up_and_need_a_fifth_of_a_second():
    rpm = np.concatenate([np.full(50, 8000.0), np.geomspace(8000, 4000, 25), np.full(25, 4000.0)])
    assert _dives(rpm, 0, []) == pytest.approx(0.25, abs=0.06)
    assert _dives(rpm, 50, []) == pytest.approx(0.5, abs=0.1)
    assert _dives(rpm, 80, []) == 0.0
    # About drop-outs 0.06 s do not count: what is left are the 33 blocks from 0.46 to 0.79 s.
    assert _dives(rpm, 0, [(0.0, 0.4), (0.85, 0.95)]) == pytest.approx(25 / 33, abs=0.05)
    slow = np.concatenate([np.full(50, 8000.0), np.geomspace(8000, 4000, 70), np.full(25, 4000.0)])
    assert _dives(slow, 0, []) == 0.0  # ln 2 in 0.7 s: what friction may take


def test_few_firings_and_none_at_all_answer_nothing():
    rpm = 8000 * np.exp(-0.05 * np.sin(np.arange(400) / 5))
    assert answering(rpm, np.arange(1.0, 1.19, 0.01), np.tile([0.0, -2.0], 10)[:19]) == 0.0
    assert answering(rpm, np.zeros(0), np.zeros(0)) == 0.0
    assert answering(rpm, np.arange(1.0, 1.195, 0.01), np.repeat([0.0, -2.0], 10)) != 0.0


def test_drop_outs_count_where_they_are_many_or_the_engine_slows_in_them():
    found, lost = held(weak=False)
    assert (found.lost_share, lost) == (0.0, [])
    # Slower by two hundredths of ln speed in each of 60 ms: as friction does, though nothing was measured as weak.
    found, lost = held(weak=False, gains=-0.02)
    assert len(lost) == 2
    assert found.lost_share > 0
