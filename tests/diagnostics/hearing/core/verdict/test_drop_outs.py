"""What the manual of `listen` calls a drop-out: three missed firings or more, 25 ms, gaps join, patterns do not."""

import numpy as np
import pytest

from diagnostics.hearing.core import limits
from diagnostics.hearing.core.following.track import follow
from diagnostics.hearing.core.verdict.drop_outs import drop_outs_in, missing
from diagnostics.hearing.core.verdict.firings import Firings, firings_in
from tests.revouts.listened import samples_of
from tests.revouts.measures import drop_out_counts
from tests.revouts.sets import CHOOSE, clip, quiet_ones


def firings(fired, step_s=0.01, pattern=1, slows_log_s=0.0):
    """Firings a step apart, strong where fired and silent where not; slower and slower where not fired."""
    fired = np.array(fired, bool)
    strength = fired.astype(float)
    steps = step_s * np.exp(np.cumsum(~fired) * slows_log_s * step_s)
    return Firings(
        at_s=np.concatenate([[0.0], np.cumsum(steps)[:-1]]),
        level=np.where(fired, 0.0, -1.5),
        pulse=strength,
        wave=strength,
        pattern=np.full(len(fired), pattern),
    )


def found(fired, step_s=0.01, pattern=1, slows_log_s=0.0):
    given = firings(fired, step_s, pattern, slows_log_s)
    return drop_outs_in(given, ~np.array(fired, bool))


def test_three_missed_firings_of_25_ms_count_and_two_do_not():
    assert found([1] * 5 + [0] * 3 + [1] * 5) == [pytest.approx((0.05, 0.08))]
    assert found([1] * 5 + [0] * 2 + [1] * 5) == []


def test_three_missed_within_less_than_25_ms_do_not_count():
    assert found([1] * 5 + [0] * 3 + [1] * 5, step_s=0.008) == []
    assert len(found([1] * 5 + [0] * 4 + [1] * 5, step_s=0.008)) == 1


def test_gaps_under_30_ms_join_and_longer_ones_do_not():
    assert len(found([1] * 3 + [0] * 4 + [1] * 2 + [0] * 5 + [1] * 3)) == 1
    assert len(found([1] * 3 + [0] * 4 + [1] * 4 + [0] * 5 + [1] * 3)) == 2


@pytest.mark.parametrize("nth", [2, 3, 4])
def test_every_second_third_or_fourth_turn_firing_is_no_drop_out(nth):
    even = [number % nth == 0 for number in range(60)]
    assert found(even, step_s=0.012) == []
    assert found(even, step_s=0.012, pattern=nth) == []


def test_missing_more_than_the_pattern_leaves_out_is_a_drop_out():
    fired = [number % 4 == 0 and not 20 < number < 33 for number in range(60)]
    assert len(found(fired, step_s=0.012, pattern=4, slows_log_s=0.5)) == 1


def test_an_engine_that_goes_on_at_its_speed_fires_though_it_is_not_heard():
    # Friction takes half the speed of a small engine in a second or two (common practice, no source): one that does not
    # fire for a quarter of a second is slower afterwards. What is heard so is a bark or a phone's gain.
    long_gap = [1] * 10 + [0] * 25 + [1] * 10
    assert found(long_gap) == []
    assert len(found(long_gap, slows_log_s=0.5)) == 1


def test_a_bark_over_a_healthy_engine_is_no_drop_out():
    for number in quiet_ones(CHOOSE, "healthy", 3):
        made = clip(CHOOSE, "healthy", number)
        samples = samples_of(made)
        rng = np.random.default_rng(number)
        start, count = int((made.truth.held[0] + 0.6) * limits.RATE_HZ), int(0.25 * limits.RATE_HZ)
        bark = rng.normal(size=count) * np.hanning(count) * 4 * samples.std()
        samples[start : start + count] += bark.astype(np.float32)
        track = follow(samples / np.abs(samples).max(), made.fires_per_turn)
        measured = firings_in(track, samples, made.truth.held)
        assert drop_outs_in(measured, missing(measured)) == []


def test_the_likeliest_course_follows_clear_firings():
    fired = [1] * 10 + [0] * 6 + [1] * 10
    assert list(missing(firings(fired))) == [not one for one in fired]


def test_drop_outs_of_failing_engines_are_found_and_healthy_ones_have_none():
    counts, false = np.zeros(3), 0
    for kind in ("breaks", "mild", "healthy", "rich"):
        for number in quiet_ones(CHOOSE, kind, 4):
            made = clip(CHOOSE, kind, number)
            samples = samples_of(made)
            measured = firings_in(follow(samples, made.fires_per_turn), samples, made.truth.held)
            lost = drop_outs_in(measured, missing(measured))
            if kind in ("breaks", "mild"):
                counts += drop_out_counts(lost, made.truth.drop_outs)
            else:
                false += len(lost)
    assert 2 * counts[0] / (counts[1] + counts[2]) > 0.75
    assert false <= 3
