"""Loudness against the clip's own range: nothing where nothing swells, and gaps of failing firing are not quiet."""

import numpy as np

from diagnostics.hearing.core.following.swell import loud_in

FRAMES, WIDTH = 400, 40


def envelope(levels):
    return np.repeat(np.asarray(levels, np.float32), WIDTH)


def test_what_is_everywhere_about_as_loud_has_no_loud_and_no_quiet_frames():
    assert (loud_in(envelope(np.tile([1.0, 1.1], FRAMES // 2)), FRAMES) == 0).all()


def test_tickover_is_quiet_and_an_open_throttle_is_loud_also_in_its_gaps():
    levels = np.r_[np.full(200, 0.1), np.tile([1.0] * 8 + [0.1] * 4, 20)[:200]]
    loud, quiet = loud_in(envelope(levels), FRAMES).T
    assert (quiet[:170] == 0.5).all()
    assert (loud[:170] == 0).all()
    assert (loud[205:] > 0.4).all()
    assert (quiet[205:] == 0).all()


def test_a_pop_after_the_shut_makes_no_open_throttle():
    levels = np.r_[np.full(100, 0.1), np.full(150, 1.0), np.full(150, 0.1)]
    levels[320] = 1.0
    loud, _ = loud_in(envelope(levels), FRAMES).T
    assert (loud[335:] == 0).all()


def test_the_last_frames_of_a_clip_may_have_no_envelope():
    assert (loud_in(envelope(np.r_[np.full(200, 0.1), np.full(198, 1.0)]), FRAMES)[398:] == 0).all()
