"""Tickover, hold and shutting are found where the generator put them; what has no opening says so."""

import numpy as np
import pytest

from diagnostics.hearing.core import limits
from diagnostics.hearing.core.following.parts import loudness, parts_of
from diagnostics.hearing.core.following.track import follow
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
