"""Where an ignition fails as it heats the hold goes on though the speed runs down; where the throttle shuts it does
not."""

from dataclasses import replace

import numpy as np
import pytest

from diagnostics.hearing.core.following.parts import parts_of
from diagnostics.hearing.core.following.track import follow
from diagnostics.hearing.core.verdict.longer import longer
from tests.revouts.listened import samples_of
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
