"""Tickover, hold and shutting are found where the generator put them; what has no opening says so."""

import numpy as np
import pytest

from diagnostics.hearing.core import limits
from diagnostics.hearing.core.following.climb import Climb
from diagnostics.hearing.core.following.parts import (
    _begins_revved,
    _half_open_s,
    _idle_rpm,
    _loud_to,
    _lulls,
    _sharpened,
    _start_of_fall,
    loudness,
    parts_of,
)
from diagnostics.hearing.core.following.track import Track, follow
from diagnostics.hearing.core.heard import HeardReason
from tests.revouts.listened import samples_of
from tests.revouts.measures import overlap
from tests.revouts.sets import CHOOSE, clip, quiet_ones


def parts(kind, number):
    made = clip(CHOOSE, kind, number)
    samples = samples_of(made)
    return made, parts_of(follow(samples, made.fires_per_turn), samples)


@pytest.mark.parametrize("kind", ["healthy", "eight", "breaks"])
def test_hold_and_tickover_lie_where_the_throttle_put_them(kind):
    overlaps, speeds = [], []
    for number in quiet_ones(CHOOSE, kind, 5):
        made, found = parts(kind, number)
        overlaps.append(overlap(found.held, made.truth.held))
        idle = found.idle_rpm == pytest.approx(made.truth.idle_rpm, rel=0.15)
        speeds.append(idle and found.peak_rpm == pytest.approx(np.sort(made.truth.rpm)[-20], rel=0.06))
    assert np.mean(overlaps) > 0.85
    assert np.mean(speeds) >= 0.8  # of a few clips a kind; the note has the figures of hundreds


def test_a_clip_that_begins_revved_up_is_late():
    for number in quiet_ones(CHOOSE, "late", 2):
        assert parts("late", number)[1].held is None


def test_noise_has_no_parts():
    noise = np.random.default_rng(2).normal(size=4 * limits.RATE_HZ).astype(np.float32) / 4
    found = parts_of(follow(noise, 1.0), noise)
    assert found.held is None
    assert found.idle_rpm is None


def test_loudness_of_a_tone_is_the_logarithm_of_its_root_mean_square():
    tone = np.sin(2 * np.pi * 1000 * np.arange(limits.RATE_HZ) / limits.RATE_HZ).astype(np.float32)
    assert loudness(tone)[20:].mean() == pytest.approx(np.log(np.sqrt(0.5)), abs=0.01)


def stretches(*parts):
    """Values in blocks: each part goes evenly (from, to, seconds)."""
    return np.concatenate([np.linspace(low, high, round(100 * lasts_s)) for low, high, lasts_s in parts])


def made_track(rpm, evidence=1.2, climb=None):
    seen = np.broadcast_to(np.asarray(evidence, float), len(rpm)).copy()
    return Track(rpm / 60, seen, np.zeros(20 * len(rpm), np.float32), 1.0, climb)


def sound_of(loud):
    """A tone of 1 kHz with the loudness given for each block, as a natural logarithm of its root mean square."""
    at_s = np.arange(80 * len(loud)) / limits.RATE_HZ
    return (np.repeat(np.exp(loud) * np.sqrt(2), 80) * np.sin(2 * np.pi * 1000 * at_s)).astype(np.float32)


RPM = stretches((1500, 1500, 2.0), (1500, 8000, 0.6), (8000, 8000, 2.4), (8000, 2000, 1.0), (1500, 1500, 1.0))
LOUD = stretches((-3, -3, 2.0), (-3, -1, 0.2), (-1, -1, 2.8), (-3, -3, 2.0))


def test_the_parts_of_a_rev_out_are_those_of_its_speed_and_loudness():
    found = parts_of(made_track(RPM), sound_of(LOUD))
    assert found.why is None
    assert found.idle_rpm == pytest.approx(1500)
    assert found.peak_rpm == pytest.approx(8000)
    assert found.from_rpm == pytest.approx(1500, rel=0.05)
    assert found.held == pytest.approx((2.12, 5.0), abs=0.1)
    assert found.swell == pytest.approx(2.0, abs=0.1)
    assert found.lulls == pytest.approx(0.0, abs=0.05)
    assert found.followed.all()
    assert len(found.followed) == len(RPM)


def test_a_speed_is_shown_where_evidence_is_enough_for_long_enough():
    evidence = np.where(np.arange(len(RPM)) < 100, 0.3, 1.2)
    shown = parts_of(made_track(RPM, evidence), sound_of(LOUD)).followed
    assert not shown[:90].any()
    assert shown[110:].all()


def test_a_clip_with_no_climb_that_is_hardly_followed_has_no_engine_and_with_a_climb_it_has_one():
    found = parts_of(made_track(RPM, 0.7), sound_of(LOUD))
    assert (found.why, found.held, found.peak_rpm) == (HeardReason.NO_ENGINE, None, None)
    assert found.followed.all()
    climbs = parts_of(made_track(RPM, 0.7, Climb(100, 20.0, 1.2, 0.0)), sound_of(LOUD))
    assert climbs.why == HeardReason.NO_RISE
    evidence = np.where((np.arange(len(RPM)) > 150) & (np.arange(len(RPM)) < 480), 1.2, 0.3)
    assert parts_of(made_track(RPM, evidence), sound_of(LOUD)).held is not None


def test_tickover_without_a_rise_is_no_rev_out_and_a_clip_that_only_falls_begins_late():
    steady = parts_of(made_track(stretches((1500, 1500, 1.0), (1500, 2000, 3.0))), sound_of(stretches((-2, -2, 4.0))))
    assert (steady.why, steady.held) == (HeardReason.BEGINS_LATE, None)
    rises = stretches((1200, 1200, 2.0), (1200, 2000, 4.0))
    slow = parts_of(made_track(rises), sound_of(stretches((-2, -2, 6.0))))
    assert (slow.why, slow.held) == (HeardReason.NO_RISE, None)
    assert slow.peak_rpm == pytest.approx(2000, rel=0.05)
    falls = stretches((8000, 8000, 1.5), (8000, 1500, 1.0), (1500, 1500, 1.0))
    late = parts_of(made_track(falls), sound_of(stretches((-2, -2, 3.5))))
    assert late.why == HeardReason.BEGINS_LATE
    assert late.peak_rpm == pytest.approx(8000)


def test_a_rise_at_once_begins_late():
    # A quarter of a second of tickover is the least.
    for ticks_s, why in ((0.15, HeardReason.BEGINS_LATE), (0.4, None)):
        rpm = stretches((1500, 1500, ticks_s), (1500, 8000, 0.6), (8000, 8000, 2.0))
        found = parts_of(made_track(rpm), sound_of(stretches((-2, -2, len(rpm) / 100))))
        assert found.why == why
        assert found.peak_rpm == pytest.approx(8000)


def test_a_clip_begins_revved_if_its_first_second_is_near_its_highest_speed():
    assert _begins_revved(np.full(300, 7000.0), 8000.0)
    assert not _begins_revved(np.full(300, 5500.0), 8000.0)
    assert not _begins_revved(np.repeat([5000.0, 8000.0], [60, 240]), 8000.0)
    assert _begins_revved(np.repeat([8000.0, 2000.0], [60, 240]), 8000.0)


def test_tickover_is_the_middle_of_the_speeds_near_the_lowest_and_needs_a_fifth_of_a_second():
    assert _idle_rpm(np.full(20, 1500.0), 1450.0) == 1500.0
    assert _idle_rpm(np.full(19, 1500.0), 1450.0) is None
    assert _idle_rpm(np.repeat([1500.0, 3000.0], [30, 100]), 1500.0) == 1500.0
    assert _idle_rpm(np.repeat([1500.0, 500.0], [30, 100]), 1500.0) == 1500.0


def test_lulls_are_how_much_quieter_the_quietest_twentieth_is_than_the_middle():
    assert _lulls(np.repeat([-1.0, -4.0, -1.0], [100, 20, 80])) == pytest.approx(-3.0, abs=0.05)
    assert _lulls(np.repeat([-1.0, -4.0, -1.0], [100, 4, 96])) == pytest.approx(0.0, abs=0.05)


def test_the_throttle_opens_where_the_sound_swells_first_or_else_soon_after_the_speed_leaves_tickover():
    late = stretches((-3, -3, 3.0), (-1, -1, 2.0))
    assert _half_open_s(late, 300) == pytest.approx(2.97, abs=0.05)
    assert _half_open_s(late, 330) == pytest.approx(2.97, abs=0.05)
    assert _half_open_s(late, 250) == pytest.approx(2.5 + limits.OPENS_AFTER_S)
    # Too little swell, and too little tickover to tell: by the speed alone.
    assert _half_open_s(stretches((-3, -3, 3.0), (-2.6, -2.6, 2.0)), 330) == pytest.approx(3.3 + limits.OPENS_AFTER_S)
    assert _half_open_s(stretches((-3, -3, 0.5), (-1, -1, 2.0)), 60) == pytest.approx(0.6 + limits.OPENS_AFTER_S)


def test_the_throttle_shuts_a_little_before_the_speed_falls():
    heard = np.full(len(RPM), 1.2)
    assert _start_of_fall(RPM, heard, 230, 3000.0) == pytest.approx(500 - 11 + 5, abs=6)
    # What is not heard, or not up, is no sign of an open throttle.
    heard[450:] = 0.1
    assert _start_of_fall(RPM, heard, 230, 3000.0) == 449 - 11
    assert _start_of_fall(RPM, np.full(len(RPM), 0.1), 230, 3000.0) == len(RPM)
    assert _start_of_fall(RPM, np.full(len(RPM), 1.2), 495, 3000.0) == 495


def test_an_engine_that_comes_up_again_has_its_throttle_open_however_far_it_sagged_before():
    sagged = stretches((1500, 1500, 2.0), (1500, 8000, 0.6), (8000, 4000, 1.0), (4000, 5500, 0.4), (5500, 2000, 1.0))
    assert _start_of_fall(sagged, np.full(len(sagged), 0.7), 230, 3000.0) == pytest.approx(400 - 11, abs=6)
    assert _start_of_fall(sagged, np.full(len(sagged), 0.6), 230, 3000.0) == len(sagged)
    # Overrun that holds up a little, or a hand's width of wind over it, does not come up.
    shut = stretches((1500, 1500, 2.0), (1500, 8000, 0.6), (8000, 8000, 1.0), (8000, 5000, 0.5), (5000, 4900, 0.5))
    evidence = np.where(np.arange(len(shut)) < 365, 1.2, 0.7)
    assert _start_of_fall(shut, evidence, 230, 3000.0) == pytest.approx(360 - 11, abs=6)


def test_a_hold_that_lasts_to_the_end_of_the_clip_was_not_shut():
    rpm = RPM[:450]
    assert _start_of_fall(rpm, np.full(450, 1.2), 230, 3000.0) == 450
    heard = np.where(np.arange(450) < 446, 1.2, 0.1)
    assert _start_of_fall(rpm, heard, 230, 3000.0) == 445 - 11


def test_the_end_moves_to_where_the_sound_drops_most_if_that_is_near():
    loud = stretches((-1, -1, 3.0), (-3, -3, 2.0))
    for end in (280, 300, 310):
        assert _sharpened(loud, end) == pytest.approx(300 - 3, abs=4)
    for end in (250, 340):
        assert _sharpened(loud, end) == end
    assert _sharpened(stretches((-1, -1, 3.0), (-1.4, -1.4, 2.0)), 300) == 300
    assert _sharpened(loud[:308], 299) == 299


def test_a_hold_that_is_never_loud_again_ended_where_it_last_was():
    shut = stretches((-3, -3, 2.0), (-1, -1, 3.0), (-2.2, -2.2, 3.0))
    assert _loud_to(shut, 220, 790) == pytest.approx(500, abs=6)
    assert _loud_to(shut, 220, 515) == 515
    comes_back = stretches((-3, -3, 2.0), (-1, -1, 3.0), (-2.2, -2.2, 1.0), (-1.2, -1.2, 0.5), (-2.2, -2.2, 1.5))
    assert _loud_to(comes_back, 220, 790) == pytest.approx(650, abs=6)
    assert _loud_to(stretches((-3, -3, 2.0), (-1, -1, 3.0), (-1.7, -1.7, 3.0)), 220, 790) == 790
    assert _loud_to(shut, 780, 790) == 790  # too little of it to know how loud it was


def test_loudness_is_taken_of_whole_blocks_above_the_wind():
    at_s = np.arange(1640) / limits.RATE_HZ
    wind = np.sin(2 * np.pi * 15 * at_s).astype(np.float32)
    tone = np.sin(2 * np.pi * 1000 * at_s).astype(np.float32)
    assert len(loudness(tone)) == 20
    # Second order: a tenth of the edge's frequency passes with a hundredth of its size.
    assert loudness(wind)[10:].max() < np.log(0.03)
    assert loudness(np.zeros(800, np.float32)).max() < -13
