"""Firings are measured against their neighbours; a rhythm is found however it changes or rings on; cuts are none."""

import numpy as np
import pytest

from diagnostics.hearing.core import limits, verdict_limits
from diagnostics.hearing.core.following.spectrum import envelope_of
from diagnostics.hearing.core.following.track import Track
from diagnostics.hearing.core.verdict.firings import (
    _likeness,
    firings_in,
    pattern_of,
    rhythm_of,
)
from tests.revouts.pulses import sounded


def shares(*stretches, rings=0.0):
    """Share of firings in an even rhythm, where stretches of (n, turns) fire every n-th turn; rings: how much of a
    firing's loudness is left in the next turn."""
    fired = np.concatenate([np.arange(turns) % nth == 0 for nth, turns in stretches]).astype(float)
    rng = np.random.default_rng(7)
    loud = np.maximum(fired, rings * np.roll(fired, 1)) + 0.05 * rng.normal(size=len(fired))
    return float((pattern_of(2 * (loud - 1), np.clip(fired + 0.1 * rng.normal(size=len(fired)), 0, 1)) > 1).mean())


def test_a_change_of_rhythm_is_even_on_either_side_of_it():
    assert shares((4, 40), (2, 40), (3, 40), (4, 40)) > 0.95


def test_a_firing_that_rings_on_into_the_next_turn_keeps_its_rhythm():
    assert shares((4, 120), rings=0.95) > 0.95


def test_two_that_fire_and_two_that_are_cut_are_no_rhythm():
    fired = np.tile([1.0, 1.0, 0.0, 0.0], 30)
    assert (pattern_of(2 * (fired - 1), fired) == 1).all()


def measured(fired, held=(0.5, 3.5)):
    track, sound = sounded(fired)
    return firings_in(track, sound, held)


def test_each_firing_of_the_hold_is_measured_once_a_cycle_apart():
    found = measured(np.ones(400))
    assert len(found.at_s) == pytest.approx(300, abs=1)
    assert np.diff(found.at_s) == pytest.approx(0.01, abs=1e-6)
    assert found.at_s[0] >= 0.5
    assert found.at_s[-1] <= 3.5
    for values in (found.level, found.pulse, found.wave, found.pattern, found.power):
        assert len(values) == len(found.at_s)


def test_even_firing_is_as_strong_as_its_neighbours_and_looks_like_them_and_has_no_pattern():
    found = measured(np.ones(400))
    assert np.abs(found.level).max() < 0.02
    assert found.pulse == pytest.approx(1.0, abs=0.02)
    assert found.wave == pytest.approx(1.0, abs=0.02)
    assert (found.pattern == 1).all()


def test_a_cycle_begins_where_it_is_quiet_before_its_pulse():
    found = measured(np.ones(400))
    # The ring begins at whole hundredths of a second and has died away long before the next.
    assert 0 < 0.01 - found.at_s[10] % 0.01 < 0.006


def test_a_firing_that_is_missing_or_weak_is_measured_against_those_hereabouts():
    fired = np.ones(400)
    fired[200:203] = 0.0
    fired[250:253] = 0.25
    found = measured(fired)
    gone, weak = (np.abs(found.at_s - at_s - 0.01).argmin() for at_s in (2.0, 2.5))
    # The envelope is the root of the sound, so its square goes as the sound: a quarter is ln 4 less.
    assert found.level[weak] == pytest.approx(-np.log(4), abs=0.15)
    assert found.level[gone] < -2
    assert found.pulse[gone] < 0.1
    assert found.wave[gone] < 0.1
    assert found.wave[weak] == pytest.approx(0.25, abs=0.1)
    assert found.pulse[weak] == pytest.approx(0.5, abs=0.1)
    others = np.abs(found.at_s - 2.2) < 0.1
    assert np.abs(found.level[others]).max() < 0.05


def test_a_bark_makes_no_firing_about_it_weak():
    fired = np.ones(400)
    fired[200:220] = 6.0
    found = measured(fired)
    after = (found.at_s > 2.25) & (found.at_s < 2.9)
    assert found.level[after].min() > -verdict_limits.LOUDER_AT_MOST - 0.1
    assert found.wave[after].min() > 0.6


def test_what_grows_quieter_by_itself_does_not_fail_and_what_stays_away_does():
    slowly = np.r_[np.ones(150), np.geomspace(1.0, 0.7, 100), np.full(150, 0.7)]
    assert measured(slowly).level.min() > -0.15
    away = np.r_[np.ones(200), np.full(200, 0.1)]
    late = measured(away, (0.5, 3.9))
    # ln 10 less than it was, of which as much counts for nothing as firing gets quieter by itself.
    assert late.level[late.at_s > 3.0] == pytest.approx(-np.log(10) + verdict_limits.FALLS_BY_ITSELF, abs=0.2)


@pytest.mark.parametrize("nth", [2, 3, 4])
def test_where_every_nth_turn_fires_the_pattern_says_so(nth):
    fired = (np.arange(400) % nth == 0) * 1.0
    found = measured(fired)
    # What comes back every second firing comes back every fourth, too.
    assert np.mean((found.pattern > 1) & (found.pattern % nth == 0)) > 0.95


def test_in_less_than_four_firings_nothing_is_measured():
    hz = np.full(3, 100.0)
    track = Track(hz, np.ones(3), np.ones(60, np.float32), 1.0)
    found = firings_in(track, np.ones(240, np.float32), (0.0, 0.03))
    for values in (found.at_s, found.level, found.pulse, found.wave, found.pattern, found.power):
        assert len(values) == 0


def test_firings_about_the_hold_are_heard_but_not_counted():
    fired = np.ones(400)
    fired[:50] = fired[350:] = 0.0
    found = measured(fired)
    assert found.at_s[[0, -1]] == pytest.approx([0.5, 3.5], abs=0.011)
    assert np.abs(found.level[5:-5]).max() < 0.05


def test_a_speed_that_grows_has_its_cycles_where_it_turns():
    hz = np.linspace(50.0, 150.0, 400)
    turn = np.interp(np.arange(32000) / limits.RATE_HZ, np.arange(401) * 0.01, np.r_[0, np.cumsum(hz) * 0.01])
    whole = np.floor(turn)
    sound = (np.exp(-(turn - whole) * 6) * np.sin(2 * np.pi * 8 * (turn - whole))).astype(np.float32)
    found = firings_in(Track(hz, np.ones(400), envelope_of(sound), 1.0), sound, (0.5, 3.5))
    turned = np.interp(found.at_s, np.arange(401) * 0.01, np.r_[0, np.cumsum(hz) * 0.01])
    assert np.diff(turned) == pytest.approx(1.0, abs=1e-6)
    assert len(found.at_s) == pytest.approx(hz[50:350].sum() * 0.01, abs=2)
    assert found.pulse.min() > 0.8


def strengths(fired):
    return np.asarray(fired, float)


def test_a_rhythm_needs_strengths_that_differ_and_come_back():
    even = strengths(np.arange(60) % 3 == 0)
    assert (rhythm_of(even, 0.15) == 3).all()
    assert (rhythm_of(0.3 * even, 0.15) == 1).all()  # hardly any difference: its spread is 0.14
    assert (rhythm_of(0.6 * even, 0.15) == 3).all()  # 0.28
    assert (rhythm_of(np.ones(60), 0.15) == 1).all()
    rng = np.random.default_rng(2)
    assert np.mean(rhythm_of(rng.permutation(even), 0.15) > 1) < 0.3
    assert (rhythm_of(strengths(np.arange(60) % 5 == 0), 0.15) == 1).all()


def test_a_rhythm_is_kept_up_to_where_it_changes_and_told_of_few_firings_too():
    changes = strengths(np.r_[np.arange(48) % 2 == 0, np.arange(48) % 4 == 0])
    found = rhythm_of(changes, 0.15)
    assert np.isin(found[:42], (2, 4)).all()
    assert (found[:12] == 2).all()
    assert (found[54:] == 4).all()
    begins = strengths(np.r_[np.ones(60), np.arange(60) % 3 == 0])
    assert (rhythm_of(begins, 0.15)[:40] == 1).all()
    assert (rhythm_of(begins, 0.15)[66:] == 3).all()
    assert (rhythm_of(strengths(np.arange(12) % 2 == 0), 0.15) == 2).all()


def test_what_sounds_on_evenly_looks_like_no_firing():
    shape = np.exp(-np.arange(12.0))
    cycles, within = np.tile(shape + 5, (100, 1)), np.ones(100, bool)
    cycles[50] = 5.0
    alike = _likeness(cycles, within)
    assert alike[50] == pytest.approx(0.0, abs=0.01)
    assert np.delete(alike, 50) == pytest.approx(1.0, abs=0.01)


def test_a_likeness_is_relative_to_a_firing_and_a_bark_s_counts_no_more_than_a_loud_one_s():
    shape = np.sin(np.arange(32.0) / 32 * 2 * np.pi)
    sizes = np.ones(200)
    sizes[100], sizes[103], sizes[106] = 0.5, 20.0, -0.5
    alike = _likeness(sizes[:, None] * shape, np.ones(200, bool))
    assert alike[[100, 106]] == pytest.approx([0.5, -0.5], abs=0.02)
    assert alike[103] == pytest.approx(np.exp(verdict_limits.LOUDER_AT_MOST), abs=0.02)
    assert alike[104] == pytest.approx(1.0, abs=0.02)
