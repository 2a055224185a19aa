"""Where an ignition fails as it heats the hold goes on though the speed runs down; where the throttle shuts it does
not."""

from dataclasses import replace

import numpy as np
import pytest

from diagnostics.hearing.core.following.parts import Parts, parts_of
from diagnostics.hearing.core.following.track import follow
from diagnostics.hearing.core.verdict.longer import longer
from tests.revouts.listened import samples_of
from tests.revouts.pulses import sounded
from tests.revouts.sets import CHOOSE, clip, quiet_ones

# It pulls hard, little holds it back, and it fails far below its top: it runs down slowly and fires for moments only.
RUNS_DOWN = replace(
    CHOOSE,
    ranges=CHOOSE.ranges
    | {
        "climb_rpm_s": (20000, 22000),
        "friction_rpm_s": (4000, 4500),
        "ceiling_share": (0.5, 0.55),
        "hold_s": (1.4, 1.8),
        "snr_db": (25, 30),
    },
)


def followed(plan, kind, number):
    made = clip(plan, kind, number)
    samples = samples_of(made)
    samples = samples / np.abs(samples).max()
    track = follow(samples, made.fires_per_turn)
    return made, samples, track, parts_of(track, samples)


def test_the_hold_lasts_as_long_as_firing_comes_back_at_full_strength():
    moved = []
    for number in range(12):
        made, samples, track, parts = followed(RUNS_DOWN, "heats", number)
        ends_s = longer(track, samples, parts).held[1]
        if ends_s != parts.held[1]:
            moved.append((abs(parts.held[1] - made.truth.held[1]), abs(ends_s - made.truth.held[1])))
    assert moved
    assert all(after < before for before, after in moved)
    assert np.median([after for _, after in moved]) < 0.2


@pytest.mark.parametrize("kind", ["healthy", "rich", "eight"])
def test_a_throttle_that_shuts_ends_it(kind):
    for number in quiet_ones(CHOOSE, kind, 4):
        _, samples, track, parts = followed(CHOOSE, kind, number)
        assert longer(track, samples, parts) is parts


BACK = [0] * 12 + [1] * 4  # a drop-out, and firing that comes back


def held_on(fired, held=(1.0, 2.0), runs_down_at=400, up_again_at=400, from_rpm=1500.0):
    """End of the hold in 4 s at 100 firings a second, from a hold that the speed ends at `held`; the speed is down from
    block `runs_down_at` on, up to `up_again_at`."""
    track, sound = sounded(np.r_[fired, np.zeros(max(400 - len(fired), 0))][:400])
    hz = track.firing_hz.copy()
    hz[runs_down_at:up_again_at] = 25.0
    given = Parts(np.ones(400, bool), 1500.0, 6000.0, held, None, 1.0, from_rpm)
    found = longer(replace(track, firing_hz=hz), sound, given)
    assert replace(found, held=None) == replace(given, held=None) or found is given
    return None if found is given else found.held


def test_the_hold_ends_with_the_second_firing_of_the_last_that_came_back():
    # Firings 212 and 228 are the first that come back: two of each at full strength are asked for.
    start_s, end_s = held_on([1] * 200 + BACK * 2)
    assert start_s == 1.0
    assert end_s == pytest.approx(2.29, abs=0.011)
    assert held_on([1] * 200 + BACK * 4)[1] == pytest.approx(2.61, abs=0.011)


def test_firing_has_to_come_back_twice_and_strong_and_two_in_a_row():
    assert held_on([1] * 200 + BACK) is None
    assert held_on([1] * 200 + ([0] * 8 + [0.4] * 4) * 3) is None
    assert held_on([1] * 200 + ([0] * 8 + [1]) * 4) is None
    assert held_on([1] * 200 + ([0] * 8 + [1, 1]) * 4) is not None


def test_fewer_than_three_missing_are_nothing_to_come_back_from():
    assert held_on([1] * 200 + ([0] * 2 + [1] * 6) * 6) is None
    assert held_on([1] * 200 + ([0] * 3 + [1] * 6) * 6) is not None


def test_what_comes_back_within_a_tenth_of_a_second_of_the_end_does_not_count():
    assert held_on([1] * 200 + BACK * 2, held=(1.0, 2.01)) is not None
    assert held_on([1] * 200 + BACK * 2, held=(1.0, 2.05)) is None


def test_only_what_runs_on_for_a_fifth_of_a_second_is_looked_at_and_no_further():
    fires = [1] * 200 + BACK * 6
    assert held_on(fires, runs_down_at=219) is None
    assert held_on(fires, runs_down_at=250)[1] < 2.5
    assert held_on(fires, runs_down_at=300)[1] > 2.6


def test_a_second_rev_out_after_the_speed_was_down_is_none_of_this_hold():
    fires = [1] * 200 + BACK * 6
    assert held_on(fires, runs_down_at=219, up_again_at=222) is None
    assert held_on(fires, runs_down_at=221, up_again_at=224) is None
    assert held_on(fires, runs_down_at=250, up_again_at=253)[1] < 2.5


def test_without_a_hold_or_a_peak_there_is_nothing_to_lengthen():
    track, sound = sounded(np.ones(100))
    for given in (Parts(np.ones(100, bool)), Parts(np.ones(100, bool), held=(0.1, 0.2))):
        assert longer(track, sound, given) is given
