"""What the manual of `listen` calls a drop-out: three missed firings or more, 25 ms, gaps join, patterns do not."""

from dataclasses import replace

import numpy as np
import pytest

from diagnostics.hearing.core import limits
from diagnostics.hearing.core.following.track import follow
from diagnostics.hearing.core.verdict import fitted
from diagnostics.hearing.core.verdict.drop_outs import _pattern_about, drop_outs_in, missing, runs_of
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
        power=strength + 1e-6,
    )


def found(fired, step_s=0.01, pattern=1, slows_log_s=0.0):
    given = firings(fired, step_s, pattern, slows_log_s)
    return drop_outs_in(given, ~np.array(fired, bool))


def test_three_missed_firings_of_25_ms_count_and_two_do_not():
    assert found([1] * 5 + [0] * 3 + [1] * 5) == [pytest.approx((0.05, 0.08))]
    assert found([1] * 5 + [0] * 2 + [1] * 5) == []


def test_two_missed_do_not_count_however_long_they_last():
    assert found([1] * 5 + [0] * 2 + [1] * 5, step_s=0.02) == []


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


def test_runs_are_told_with_their_first_place_and_the_one_past_their_last():
    assert runs_of(np.array([True, True, False, True])) == [(0, 2), (3, 4)]
    assert runs_of(np.zeros(3, bool)) == []
    assert runs_of(np.zeros(0, bool)) == []


def test_one_that_is_in_doubt_is_as_those_about_it():
    # One weak firing among strong ones has failed alone if it is plain, and has not if it might be either.
    strong = firings([1] * 21)
    for level, lost in ((-1.5, True), (-0.4, False)):
        levels = strong.level.copy()
        levels[10] = level
        looks = strong.pulse.copy()
        looks[10] = 0.4 if lost else 0.7
        found = missing(replace(strong, level=levels, pulse=looks, wave=looks))
        assert found[10] == lost
        assert found.sum() == lost
    among = [0] * 10 + [1] + [0] * 10
    silent = firings(among)
    levels = np.where(np.arange(21) == 10, -1.0, silent.level)
    looks = np.where(np.arange(21) == 10, 0.5, silent.pulse)
    assert missing(replace(silent, level=levels, pulse=looks, wave=looks)).all()


@pytest.mark.parametrize("name", ["level", "pulse", "wave"])
def test_each_measure_speaks_for_a_missing_firing_the_weaker_it_is(name):
    # Midway between firing and failing, all alike: one measure more or less decides.
    doubtful = firings([1] * 9)
    weights = fitted.MISSING
    at = {"level": 0.0, "pulse": 0.5, "wave": 0.5}
    rest = weights["always"] + sum(weights[measure] * at[measure] for measure in at if measure != name)
    even = -rest / weights[name]  # the odds of all nine are even here
    for aside, lost in ((-0.5, True), (0.5, False)):
        given = {measure: np.full(9, value) for measure, value in (at | {name: even + aside}).items()}
        assert missing(replace(doubtful, **given)).tolist() == [lost] * 9


def test_the_first_and_the_last_firing_may_be_missing():
    for fired in ([0] * 4 + [1] * 8, [1] * 8 + [0] * 4, [0] * 5, [1] * 5):
        assert missing(firings(fired)).tolist() == [not one for one in fired]
    assert missing(firings([])).tolist() == []


def test_a_run_that_lasts_to_the_end_is_no_drop_out_and_one_at_the_beginning_is():
    assert found([1] * 5 + [0] * 5) == []
    assert found([0] * 5 + [1] * 5) == [pytest.approx((0.0, 0.05))]


def test_a_drop_out_is_quieter_by_a_plain_difference():
    for level, count in ((-0.51, 1), (-0.49, 0)):
        fired = np.array([1] * 6 + [0] * 4 + [1] * 6, bool)
        given = replace(firings(fired), level=np.where(fired, 0.0, level))
        assert len(drop_outs_in(given, ~fired)) == count


@pytest.mark.parametrize(("missed", "count"), [(6, 0), (7, 1)])
def test_in_a_pattern_of_two_seven_in_a_row_are_a_drop_out(missed, count):
    # Three firings of the pattern have to be missing: with the turns left out between and about them seven are.
    fired = [1, 0] * 8 + [1] + [0] * missed + [1] + [0, 1] * 8
    lost = drop_outs_in(firings(fired, 0.012, 2), ~np.array(fired, bool))
    assert len(lost) == count


@pytest.mark.parametrize("side", ["before", "after"])
def test_a_pattern_to_one_side_of_a_run_is_enough(side):
    even, all_of_them = [1, 0, 0, 0] * 6, [1] * 24
    fired = [*even, 1, 0, 0, 0, 1, *all_of_them] if side == "before" else [*all_of_them, 0, 0, 0, *even, 1]
    run = (24, 29) if side == "before" else (24, 27)
    assert not [gap for gap in found(fired, 0.012) if run[0] * 0.012 <= gap[0] <= run[1] * 0.012]


def test_one_odd_spacing_leaves_a_pattern_and_two_do_not():
    fired = np.array([0, 3, 6, 9, 11, 18])
    assert _pattern_about(fired, 12) == 3
    assert _pattern_about(np.array([0, 3, 6, 8, 10, 18]), 12) == 1
    assert _pattern_about(np.array([0, 1, 2, 3, 4, 10, 14, 18, 22, 26]), 6) == 4
    assert _pattern_about(np.array([0, 5, 10, 15, 20]), 21) == 1
    assert _pattern_about(np.array([], int), 0) == 1


def test_joined_drop_outs_last_from_the_first_to_the_last():
    gaps = found([1] * 3 + [0] * 4 + [1] * 2 + [0] * 5 + [1] * 3)
    assert gaps == [pytest.approx((0.03, 0.14))]
    apart = found([1] * 3 + [0] * 4 + [1] * 4 + [0] * 5 + [1] * 3)
    assert apart == [pytest.approx((0.03, 0.07)), pytest.approx((0.11, 0.16))]


@pytest.mark.parametrize(("missed", "slows_log_s", "goes_on"), [(11, 0.0, 0), (14, 0.0, 1), (20, 0.1, 1), (20, 0.2, 0)])
def test_only_a_long_run_tells_whether_the_speed_goes_on(missed, slows_log_s, goes_on):
    # An eighth of a second is a long one; friction takes 0.15 of ln speed a second at least.
    fired = [1] * 10 + [0] * missed + [1] * 10
    assert len(found(fired, slows_log_s=slows_log_s)) == 1 - goes_on


def test_a_run_at_the_very_beginning_has_no_speed_before_it():
    assert len(found([0] * 25 + [1] * 10)) == 1
