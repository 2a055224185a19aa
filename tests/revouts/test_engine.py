"""The generator keeps its own physics: speed and firings agree, drop-outs are the manual's, sets never meet."""

import numpy as np
import pytest

from tests.revouts.engine import Turns, missed_runs, run
from tests.revouts.sets import ANSWERABLE, CHOOSE, FIT, FITTED, KINDS, REPORT, clip, engine_of


def turned(kind, seed=3):
    rng = np.random.default_rng(seed)
    draw = {name: float(rng.uniform(*limits)) for name, limits in FITTED.items()}
    return run(engine_of(kind, 1.0, draw, rng), rng)


@pytest.mark.parametrize("kind", ANSWERABLE)
def test_the_true_speed_is_the_reciprocal_of_the_time_between_firings(kind):
    turns, truth = turned(kind)
    at_s = np.array(turns.at_s)
    between = 60 / np.diff(at_s)
    true = np.interp((at_s[1:] + at_s[:-1]) / 2, np.arange(len(truth.rpm)) * 0.01, truth.rpm)
    assert np.median(np.abs(true / between - 1)) < 1e-3


def test_a_sound_engine_gets_near_its_top_speed_and_a_failing_one_does_not():
    assert turned("healthy")[1].rpm.max() > 1.2 * turned("breaks")[1].rpm.max()


def test_only_failing_ones_have_a_ceiling():
    assert {kind for kind in ANSWERABLE if turned(kind)[1].ceiling_rpm} == {"breaks", "mild", "heats", "limiter"}


def test_drop_outs_follow_the_manual():
    at_s = [index * 0.01 for index in range(30)]
    fired = [True] * 10 + [False] * 3 + [True] * 2 + [False] * 4 + [True] * 4 + [False] * 2 + [True] * 5
    turns = Turns(at_s, [6000.0] * 30, fired, [1.0] * 30, [1.0] * 30)
    assert missed_runs(turns, (0.0, 1.0), patterned=False) == [pytest.approx((0.10, 0.19))]
    assert missed_runs(turns, (0.0, 1.0), patterned=True) == []


def reaching_beyond(plan):
    """The ranges that are reported on and reach where the plan's do not."""
    ranges = plan.ranges
    return [n for n, (low, high) in REPORT.ranges.items() if low < ranges[n][0] or high > ranges[n][1]]


def test_the_sets_have_seeds_ranges_and_codecs_of_their_own():
    assert len({FIT.seed, CHOOSE.seed, REPORT.seed}) == 3
    assert len(reaching_beyond(FIT)) >= len(FITTED) / 2
    assert len(reaching_beyond(CHOOSE)) >= 10
    assert len(set(REPORT.codecs) - set(FIT.codecs)) >= 4


def test_the_same_clip_is_made_again():
    assert clip(FIT, "mild", 4).file == clip(FIT, "mild", 4).file
    assert len({clip(FIT, kind, 0).file for kind in KINDS}) == len(KINDS)
