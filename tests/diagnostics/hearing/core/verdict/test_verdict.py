"""The verdict's probability goes the way physics says, and each verdict has its reason."""

from dataclasses import replace

import numpy as np
import pytest

from diagnostics.hearing.core import limits
from diagnostics.hearing.core.heard import HeardReason
from diagnostics.hearing.core.verdict import fitted
from diagnostics.hearing.core.verdict.features import NAMES, Features
from diagnostics.hearing.core.verdict.verdict import chance_of_breakdown, judge

HEALTHY = Features(
    lost_share=0.0,
    weak=np.log(limits.FEW_WEAK),
    wobble=0.003,
    answers=0.0,
    skipping=0.0,
    weak_firings=0.0,
    slows=0.0,
    dives=0.0,
)
FAILING = replace(
    HEALTHY,
    lost_share=0.7,
    weak=np.log(limits.FEW_WEAK + 0.4),
    wobble=0.02,
    answers=0.7,
    weak_firings=0.4,
    slows=0.3,
)
GAPS = [(1.0, 1.2), (1.5, 1.7)]


def test_the_numbers_name_every_feature():
    assert set(fitted.SCALES) == set(NAMES)
    assert set(fitted.VERDICT) == {"always", *NAMES}


def test_a_healthy_hold_revs_out_and_a_failing_one_breaks_down():
    assert chance_of_breakdown(HEALTHY) < 0.1
    assert chance_of_breakdown(FAILING) > 0.9
    assert judge(HEALTHY, []).verdict == "revs-out"
    failing = judge(FAILING, GAPS)
    assert (failing.verdict, failing.reason) == ("breaks-down", HeardReason.FAILS)


@pytest.mark.parametrize("name", NAMES)
def test_no_feature_of_a_failing_one_ever_speaks_for_a_sound_ignition(name):
    assert chance_of_breakdown(replace(HEALTHY, **{name: getattr(FAILING, name)})) >= chance_of_breakdown(HEALTHY)


def test_no_breakdown_is_called_that_cannot_be_shown():
    assert judge(replace(FAILING, weak_firings=0.2), []).verdict == "unclear"


def test_firing_that_fails_often_for_a_moment_each_is_shown_without_a_drop_out():
    # A limiter cuts one or two firings at a time: the manual of `listen` calls that a breakdown, not a drop-out.
    cuts = judge(FAILING, [])
    assert (cuts.verdict, cuts.reason) == ("breaks-down", HeardReason.FAILS)


def test_an_engine_with_many_weak_firings_is_not_said_to_rev_out():
    # Each failure too short to count as a drop-out: a limiter that cuts, or an ignition at its ceiling.
    weak = replace(HEALTHY, weak=np.log(limits.FEW_WEAK + 0.12), weak_firings=0.12)
    assert judge(weak, []).verdict == "unclear"


def test_sound_that_fails_while_the_engine_gains_speed_is_no_breakdown():
    # A phone's gain that swings, a voice: an engine that does not fire slows down (Newton).
    assert judge(replace(FAILING, slows=-0.5), GAPS).verdict == "unclear"


def test_a_speed_that_dives_while_all_fires_is_no_engine_s():
    # A voice's pitch falls as fast as it rises, whether firing is heard or not.
    assert judge(replace(HEALTHY, dives=0.2), []).verdict == "unclear"
    assert judge(replace(FAILING, dives=0.2), GAPS).verdict == "unclear"


def test_confidence_of_a_clear_verdict_is_at_least_the_limit():
    assert judge(HEALTHY, []).confidence >= fitted.CLEAR_FROM
