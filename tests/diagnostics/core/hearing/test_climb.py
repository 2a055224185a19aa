"""The climb is found as trying every rising path finds it; a voice that climbs gets no verdict."""

import numpy as np
import pytest

from diagnostics.core.hearing.climb import BACKGROUND, FROM_AT_MOST_RPM, TO_AT_LEAST_RPM, plainest_climb
from diagnostics.core.hearing.hear import hear
from diagnostics.core.hearing.track import follow
from tests.revouts.listened import samples_of
from tests.revouts.sets import CHOOSE, clip, quiet_ones

RPM = np.array([1000.0, 1600.0, 2400.0, 3600.0, 4600.0, 5200.0], np.float32)


def every_rising_path(seen, rpm, up):
    """The most of evidence above the background that any path has which rises in every frame."""

    def best_to(frame, at):
        gain = float(seen[frame, at]) - BACKGROUND
        before = [best_to(frame - 1, other) for other in range(max(at - up, 0), at)] if frame else []
        begins = [0.0] if rpm[at] <= FROM_AT_MOST_RPM else []
        options = [way for way in before if way is not None] + begins
        return gain + max(options) if options else None

    tops = np.flatnonzero(rpm >= TO_AT_LEAST_RPM)
    found = [best_to(frame, at) for frame in range(len(seen)) for at in tops]
    return max(one for one in found if one is not None)


@pytest.mark.parametrize("seed", range(20))
def test_the_plainest_climb_is_the_best_of_all_rising_paths(seed):
    seen = np.random.default_rng(seed).normal(0.8, 0.4, (6, len(RPM))).astype(np.float32)
    climb = plainest_climb(seen, RPM, 3)
    assert climb.total == pytest.approx(every_rising_path(seen, RPM, 3), abs=1e-5)
    assert RPM[climb.start] <= FROM_AT_MOST_RPM


def test_a_clip_too_short_for_a_climb_has_none():
    assert plainest_climb(np.ones((1, len(RPM)), np.float32), RPM, 3) is None


@pytest.mark.parametrize("kind", ["healthy", "breaks", "eight"])
def test_a_rev_out_heard_well_climbs_plainly_where_the_throttle_opens(kind):
    for number in quiet_ones(CHOOSE, kind, 2):
        made = clip(CHOOSE, kind, number)
        climb = follow(samples_of(made), made.fires_per_turn).climb
        assert climb.is_plain
        assert climb.first * 0.02 == pytest.approx(made.truth.held[0], abs=1.3)


@pytest.mark.parametrize("number", range(10))
def test_where_there_is_no_engine_a_voice_may_climb_but_has_no_tickover_and_no_verdict(number):
    assert hear(samples_of(clip(CHOOSE, "none", number)), 1.0).verdict == "unclear"
